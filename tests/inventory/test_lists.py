"""Lists that spreadsheets save: every way they separate, spell and guard, and what is refused as a whole."""

import io

import pytest
from openpyxl import Workbook

from inventory import lists
from inventory.refusals import Refused

CRYSTALS = {"material": "Crystals", "amount": "2,5 kg"}


@pytest.mark.parametrize("separator", [";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig"])
def test_a_list_is_read_however_it_is_separated(separator, encoding):
    content = separator.join(["Material", "Quantity"]) + "\r\n" + separator.join(["Crystals", "2,5 kg"])

    assert lists.read(content.encode(encoding), "shelf.csv") == [(2, CRYSTALS)]


def test_commas_separate_and_quotes_keep_them():
    assert lists.read(b'material,amount\nCrystals,"2,5 kg"\n', "shelf.csv") == [(2, CRYSTALS)]


def test_letters_of_an_old_spreadsheet_are_read():
    [(_, row)] = lists.read("material;amount\nÄtzgrund;3\n".encode("cp1252"), "shelf.csv")

    assert row["material"] == "Ätzgrund"


def test_what_an_export_guarded_is_read_as_it_was():
    [(_, row)] = lists.read(b"material,amount\n'=soft,3\n", "shelf.csv")

    assert row["material"] == "=soft"


def test_rows_keep_their_numbers_past_empty_ones():
    assert [number for number, _ in lists.read(b"material,amount\n,\nTape,3\n", "shelf.csv")] == [3]


def test_unknown_columns_are_left_alone():
    assert lists.read(b"material,colour,amount\nTape,blue,3\n", "x.csv") == [(2, {"material": "Tape", "amount": "3"})]


def workbook(*rows):
    book, file = Workbook(), io.BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(file)
    return file.getvalue()


def test_a_workbook_is_read_as_it_shows():
    content = workbook(["Material", "Amount", "Unit"], ["Crystals", 2.5, "kg"], ["Tape", 3, None])

    assert lists.read(content, "shelf.XLSX") == [
        (2, {"material": "Crystals", "amount": "2.5", "unit": "kg"}),
        (3, {"material": "Tape", "amount": "3"}),
    ]


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b"material,amount,Material\nTape,3,Tape\n", "x.csv", "Two columns are headed “material”"),
        (b"material,name,amount\nTape,Tape,3\n", "x.csv", "both could be the material"),
        (b"material,colour\nTape,blue\n", "x.csv", "no column “amount”"),
        (b"material,amount\nTape,3,5\n", "x.csv", "Row 2 has 3 cells under 2 headings"),
        (b'material,amount\n"Tape"x,3\n', "x.csv", "Line 2 cannot be taken apart"),
        (b"", "x.csv", "Nothing is written"),
        (b"PK\x03\x04\0\0", "x.csv", "neither a CSV nor an XLSX"),
        (b"not a workbook", "x.xlsx", "cannot be opened"),
        (b"material\x81\xff", "x.csv", "letters are not understood"),
        (b"x" * (lists.LARGEST_BYTES + 1), "x.csv", "larger than 5 MB"),
        (b"material,amount\n" + b"Tape,3\n" * (lists.MOST_ROWS + 1), "x.csv", "more than 20000 lines"),
        (b",".join(b"c%d" % number for number in range(61)), "x.csv", "more than 60 columns"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused_as_a_whole(content, name, said):
    with pytest.raises(Refused, match=said) as refusal:
        lists.read(content, name)

    assert refusal.value.field == "file"
