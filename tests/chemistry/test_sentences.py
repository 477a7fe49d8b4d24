"""Sentences that are made of others."""

import pytest

from chemistry.sentences import AND, PLUS, strung


@pytest.mark.parametrize("parts", [1, 2, 3, 7, 5_000])
def test_a_row_reads_alike_however_long_it_is(parts):
    names = [f"x{number}" for number in range(parts)]

    assert strung(names, PLUS) == " + ".join(names)


def test_a_row_of_thousands_is_said_in_another_language():
    row = strung([f"x{number}" for number in range(5_000)], AND)

    assert row.said(lambda text, others, count: text.replace("and", "und")).count(" und ") == 4_999
