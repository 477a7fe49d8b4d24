"""How everything on file is known."""

from chemistry.data_files import DATA, read
from chemistry.evidence import DOCUMENTS, FILES, GRADES, LOOKED_UP, entries

# what stands for itself: nobody else is named, and it says so
OURS = (
    "ours",
    "common practice",
    "on no list",
    "from memory",
    "as the pentahydrate",
    "the point its category",
    "the lowest",
)
WORKED_OUT = (
    "the pentahydrate's value scaled",
    "computed from",
    "worked out from",
    "the point of category 4",
    "in one piece",
)
WITHOUT_LINES = {"documents", "vocabulary", "names"}


def names_nobody(entry):
    return entry.source.startswith((*OURS, *WORKED_OUT, "data/storage.toml", "local limits"))


def test_every_file_of_facts_is_looked_through():
    on_file = {path.relative_to(DATA).with_suffix("").as_posix() for path in DATA.rglob("*.toml")}

    assert set(FILES) == on_file
    assert set(FILES) - {entry.file for entry in entries()} <= WITHOUT_LINES


def test_every_line_says_what_it_follows_and_how_it_is_known():
    assert {entry.grade for entry in entries()} == set(GRADES)
    assert [entry for entry in entries() if not entry.source or not entry.says or not entry.place] == []


def test_every_source_names_a_document_with_an_edition_and_how_it_was_looked_for():
    nameless = {entry.source for entry in entries() if not entry.documents and not names_nobody(entry)}

    assert nameless == set()
    assert [each.name for each in DOCUMENTS.values() if not (each.title and each.edition and each.found)] == []
    assert {each.known for each in DOCUMENTS.values()} == {"read", "secondary", "recalled"}
    assert LOOKED_UP.year == 2026


def test_nothing_is_marked_read_whose_document_nobody_read():
    wrong = [
        (entry.place, entry.source)
        for entry in entries()
        # the first one named is what a line follows; others stand beside it
        if entry.grade == "read" and (not entry.documents or entry.documents[0].known != "read")
    ]

    assert wrong == []


def test_a_line_that_was_looked_for_in_vain_says_when_and_stays_recalled():
    marked = [entry for entry in entries() if entry.not_found_on]

    assert marked
    assert [entry.place for entry in marked if not entry.is_recalled] == []
    assert all("not found on 2026-11-29" in entry.looked_for for entry in marked)
    # nobody else has to know the mark
    assert "looked_for" not in str(read("advice"))


def test_each_recalled_line_was_looked_for_and_names_a_document():
    recalled = [entry for entry in entries() if entry.is_recalled]

    assert [(entry.file, entry.place) for entry in recalled if not entry.not_found_on] == []
    assert [(entry.file, entry.place) for entry in recalled if not entry.documents] == []


def test_what_nobody_can_look_up_is_called_ours_or_common_practice_and_never_read():
    assert [
        entry.place for entry in entries() if names_nobody(entry) and entry.grade == "read" and not entry.documents
    ] == []
