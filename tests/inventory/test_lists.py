"""Lists that spreadsheets save: every way they separate, spell and guard, and what is refused as a whole."""

import io
from datetime import date

import pytest
from openpyxl import Workbook
from openpyxl.styles import numbers

from inventory import lists, workbooks
from inventory.refusals import Refused
from inventory.workbooks import NOT_WORKED_OUT

ROWS = [(1, ["Bezeichnung", "Menge"]), (2, ["Ätzgrund", "2,5 kg"])]


def rows(content, name="x.csv"):
    return lists.read(content, name)[0].rows


def test_a_list_is_read_however_it_is_separated_and_spelled():
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"):
        for separator in (";", "\t", "|"):
            for ending in ("\n", "\r\n", "\r"):
                content = ending.join(separator.join(cells) for _number, cells in ROWS)

                assert rows(content.encode(encoding)) == ROWS, (encoding, separator, ending)


def test_commas_separate_and_quotes_keep_them():
    assert rows(b'material,amount\nCrystals,"2,5 kg"\n') == [(1, ["material", "amount"]), (2, ["Crystals", "2,5 kg"])]


def test_a_title_or_a_line_that_names_the_separator_does_not_mislead():
    content = "Stock, as of March, by us;;\n;;\nname;amount;note\nTape;3;a, b\n"

    assert rows(content.encode())[1:] == [(3, ["name", "amount", "note"]), (4, ["Tape", "3", "a, b"])]
    assert rows(b"sep=;\nname;amount\n1,5;2,5\n") == [(2, ["name", "amount"]), (3, ["1,5", "2,5"])]


def test_what_an_export_guarded_is_read_as_it_was():
    assert rows(b"material,amount\n'=soft,3\n")[1] == (2, ["=soft", "3"])


def test_rows_keep_their_numbers_past_empty_ones():
    assert [number for number, _ in rows(b"material,amount\n,\nTape,3\n")] == [1, 3]


def workbook(*lines, **sheets):
    book, file = Workbook(), io.BytesIO()
    for line in lines:
        book.active.append(line)
    for name, others in sheets.items():
        sheet = book.create_sheet(name)
        for line in others:
            sheet.append(line)
    book.save(file)
    return file.getvalue()


def test_a_workbook_is_read_as_it_shows():
    content = workbook(
        ["Material", "Amount", "Came", "Sure"],
        ["Crystals", 2.5, date(2026, 3, 31), True],
        [None, None],
        ["Tape", 1.234],
        ["Ink", 1e9],
    )

    assert rows(content, "shelf.XLSX") == [
        (1, ["Material", "Amount", "Came", "Sure"]),
        (2, ["Crystals", "2.5", "2026-03-31", "1"]),
        (4, ["Tape", "1.2340"]),
        (5, ["Ink", "1000000000"]),
    ]


def test_every_sheet_of_a_workbook_with_cells_can_be_chosen():
    content = workbook(["a"], Shelf=[["Tape", 3]], Empty=[], Cabinet=[["Thinner", "1 L"]])

    assert [(sheet.name, len(sheet.rows)) for sheet in lists.read(content, "x.xlsx")] == [
        ("Sheet", 1),
        ("Shelf", 1),
        ("Cabinet", 1),
    ]


def test_formulas_are_read_as_they_were_worked_out_and_say_where_they_never_were():
    book, file = Workbook(), io.BytesIO()
    book.active.append(["Tape", "=1+2"])
    book.save(file)

    assert rows(file.getvalue(), "x.xlsx") == [(1, ["Tape", NOT_WORKED_OUT])]


def test_the_unit_that_a_format_writes_behind_a_number_is_read():
    book, file = Workbook(), io.BytesIO()
    for at, (value, shown) in enumerate([(2.5, '0.0" kg"'), (3, "0.00"), (0.98, numbers.FORMAT_PERCENTAGE)], 1):
        book.active.cell(at, 1, value).number_format = shown
    book.save(file)

    assert rows(file.getvalue(), "x.xlsx") == [(1, ["2.5 kg"]), (2, ["3"]), (3, ["0.98"])]


def test_cells_that_reach_over_rows_are_told():
    book, file = Workbook(), io.BytesIO()
    for line in (["Acids", "Vinegar", 1], [None, "Citric acid", 2], ["Soaps", "Soap", 3]):
        book.active.append(line)
    book.active.merge_cells("A1:A2")
    book.active.merge_cells("B3:C3")
    book.save(file)

    assert lists.read(file.getvalue(), "x.xlsx")[0].merged == [(1, 2, 0)]


@pytest.mark.parametrize(
    ("content", "name", "said"),
    [
        (b'material,amount\n"Tape"x,3\n', "x.csv", "Line 2 cannot be taken apart"),
        (b"", "x.csv", "Nothing is written"),
        (b"PK\x03\x04\0\0", "x.csv", "neither a CSV nor an XLSX"),
        (b"not a workbook", "x.xlsx", "cannot be opened"),
        (b"material\x81\xff", "x.csv", "letters are not understood"),
        (b"x" * (lists.LARGEST_BYTES + 1), "x.csv", "larger than 20 MB"),
        (
            b"material,amount\n" + b"Tape,3\n" * (workbooks.MOST_ROWS + workbooks.ABOVE),
            "x.csv",
            "more than 100000 lines",
        ),
        (b",".join(b"c%d" % number for number in range(61)), "x.csv", "more than 60 columns"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused_as_a_whole(content, name, said):
    with pytest.raises(Refused, match=said) as refusal:
        lists.read(content, name)

    assert refusal.value.field == "file"
