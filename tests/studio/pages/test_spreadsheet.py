import csv
import io

from inventory import lists
from studio.pages import spreadsheet


def read(head, rows):
    text = "".join(spreadsheet.lines(head, rows))
    return list(csv.reader(io.StringIO(text.removeprefix(spreadsheet.BYTE_ORDER_MARK))))


def test_a_list_comes_out_as_it_went_in():
    rows = [("10 °C, at the mark", 251.5), ('a "quoted" word', -3)]

    assert read(["what", "how much"], rows) == [
        ["what", "how much"],
        ["10 °C, at the mark", "251.5"],
        ['a "quoted" word', "-3"],
    ]


def test_a_note_cannot_become_a_formula():
    assert read(["note"], [("=HYPERLINK(1)",), ("@here",), ("\tindented",)])[1:] == [
        ["'=HYPERLINK(1)"],
        ["'@here"],
        ["'\tindented"],
    ]


def test_a_note_cannot_become_a_formula_where_semicolons_separate():
    notes = ["x;=1+1", 'x;"=1+1"', "x\t@here", "x\n=1+1", "x; -2 °C", "=1;=2", "a, =b", "x;y"]

    text = "".join(spreadsheet.lines(["what", "note"], [("jar", note) for note in notes]))

    for separator in (",", ";", "\t"):
        cells = [cell for row in csv.reader(io.StringIO(text), delimiter=separator) for cell in row]
        assert not [cell for cell in cells if cell.lstrip(' "').startswith(("=", "+", "-", "@"))], separator
    assert [lists.unguarded(row[1]) for row in read(["what", "note"], [("jar", note) for note in notes])[1:]] == notes


def test_a_long_list_is_read_a_few_rows_at_a_time():
    asked_for = []

    def rows():
        for number in range(10_000):
            asked_for.append(number)
            yield (number,)

    pieces = spreadsheet.lines(["number"], rows())
    next(pieces)
    next(pieces)

    assert len(asked_for) == spreadsheet.ROWS_AT_ONCE


def test_a_file_is_named_for_its_list_and_the_day():
    response = spreadsheet.answer("Log of Tank Nº 2", ["what"], [])

    assert response["Content-Disposition"].startswith('attachment; filename="log-of-tank-no-2-2')
