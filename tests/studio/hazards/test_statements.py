import pytest

from studio.hazards import statements

HAZARD, PRECAUTION = ("H", "EUH"), ("P",)


def test_the_words_may_be_left_out_where_the_code_is_a_common_one():
    read = statements.read("\nH319\n", "EU", letters=HAZARD)

    assert read == (("H319", "Causes serious eye irritation."),)


def test_precautions_that_belong_together_are_read_as_one():
    [line] = statements.read("P305 + P351 + P338: IF IN EYES: Rinse.", "EU", letters=PRECAUTION)

    assert line == ("P305+P351+P338", "IF IN EYES: Rinse.")


def test_a_code_that_is_none_of_ours_needs_its_words():
    with pytest.raises(ValueError, match="words of H360D are not on our list"):
        statements.read("H360D", "EU", letters=HAZARD)


@pytest.mark.parametrize("line", ["Danger", "P280", "319", "H31"])
def test_what_is_no_hazard_statement_is_named(line):
    with pytest.raises(ValueError, match="does not begin with a code such as H319"):
        statements.read(line, "EU", letters=HAZARD)


def test_a_statement_copied_twice_counts_once():
    assert len(statements.read("H319\nH319", "EU", letters=HAZARD)) == 1


def test_what_was_written_reads_back_the_same():
    read = statements.read("H225\nEUH066 Repeated exposure may cause skin dryness.", "EU", letters=HAZARD)

    assert statements.read(statements.written(read), "EU", letters=HAZARD) == read
