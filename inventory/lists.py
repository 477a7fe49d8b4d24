"""A list somebody kept elsewhere, read into rows: CSV as spreadsheets write it, or the first sheet of an XLSX."""

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _

from inventory import workbooks
from inventory.refusals import Refused

LARGEST_BYTES = 5_000_000
MOST_ROWS = 20_000
LONGEST_CELL = 300
MOST_COLUMNS = 60
SEPARATORS = ",;\t"
GUARDED = ("'=", "'+", "'-", "'@", "'\t", "'\r")

COLUMNS = {
    "material": ("material", "name", "item", "what"),
    "category": ("category", "group", "kind"),
    "amount": ("amount", "quantity", "left", "on hand", "stock"),
    "unit": ("unit", "units"),
    "code": ("code", "container", "label"),
    "place": ("place", "where", "location", "stands"),
    "batch": ("batch", "lot"),
    "received": ("received", "came", "bought"),
    "opened": ("opened", "open since"),
    "in_a_bath": ("in a bath", "bath use"),
    "purity": ("purity", "assay"),
    "reorder_at": ("reorder at", "reorder level", "minimum"),
    "use_by": ("use by", "use-by", "expires", "best before"),
}
NEEDED = ("material", "amount")
Row = dict[str, str]


def read(content: bytes, name: str) -> list[tuple[int, Row]]:
    """Each row's number in the file and its known columns; refused as a whole where its shape is not understood."""
    if len(content) > LARGEST_BYTES:
        raise Refused(
            "file",
            _("The file is larger than %(LARGEST_BYTES)s MB; bring it in part by part.")
            % {"LARGEST_BYTES": LARGEST_BYTES // 1000000},
        )
    is_workbook = workbooks.is_workbook(content, name)
    numbered = []
    # a column more than is allowed is read, or too many would look like just enough
    for number, row in (
        workbooks.first_sheet(content, most_columns=MOST_COLUMNS + 1) if is_workbook else csv_rows(content)
    ):
        # counted as they are read: a small file can unpack into more rows than the memory holds
        if number > MOST_ROWS + 1:
            raise Refused(
                "file",
                _("There are more than %(MOST_ROWS)s lines; bring the list in part by part.")
                % {"MOST_ROWS": MOST_ROWS},
            )
        if any(row):
            numbered.append((number, row))
    if not numbered:
        raise Refused("file", _("Nothing is written in that file."))
    head, rest = numbered[0][1], numbered[1:]
    places = places_of_columns(head)
    for number, row in rest:
        if len(row) > len(head):
            raise Refused(
                "file",
                _("Row %(number)s has %(row)s cells under %(head)s headings; one mark too many?")
                % {"number": number, "row": len(row), "head": len(head)},
            )
    return [
        (number, {column: unguarded(row[at])[:LONGEST_CELL] for column, at in places.items() if at < len(row)})
        for number, row in rest
    ]


def csv_rows(content: bytes) -> Iterator[tuple[int, list[str]]]:
    if b"\0" in content:
        raise Refused("file", _("That is neither a CSV nor an XLSX file; save the list as one of them."))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        # older spreadsheets write the letters of their own system
        text = content.decode("cp1252", errors="replace")
        if "\ufffd" in text:
            raise Refused("file", _("Its letters are not understood; save the list as CSV in UTF-8.")) from None
    # the headings decide: a comma in a cell below must not win against them
    first_line = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(SEPARATORS, key=first_line.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for row in reader:
            yield reader.line_num, [cell.strip() for cell in row]
    except csv.Error as error:
        raise Refused(
            "file",
            _("Line %(line_num)s cannot be taken apart: %(error)s.") % {"line_num": reader.line_num, "error": error},
        ) from error


def places_of_columns(head: list[str]) -> dict[str, int]:
    """Where each known column stands; unknown ones are left alone."""
    named = [" ".join(cell.casefold().replace("_", " ").split()) for cell in head]
    if len(named) > MOST_COLUMNS:
        raise Refused("file", _("There are more than %(MOST_COLUMNS)s columns.") % {"MOST_COLUMNS": MOST_COLUMNS})
    # the second of two columns named alike would be dropped without a word
    twice = [cell for cell, times in Counter(filter(None, named)).items() if times > 1]
    if twice:
        raise Refused(
            "file", _("Two columns are headed “%(twice)s”; which one is meant cannot be told.") % {"twice": twice[0]}
        )
    places: dict[str, int] = {}
    for column, names in COLUMNS.items():
        found = [name for name in names if name in named]
        if len(found) > 1:
            raise Refused(
                "file",
                _("“%(found)s” and “%(found_2)s” both could be the %(column)s; rename one of them.")
                % {"found": found[0], "found_2": found[1], "column": column},
            )
        if found:
            places[column] = named.index(found[0])
    missing = [column for column in NEEDED if column not in places]
    if missing:
        raise Refused(
            "file",
            _("The first row names no column “%(missing)s”. It names: %(head)s.")
            % {"missing": missing[0], "head": ", ".join(head) or "nothing"},
        )
    return places


def unguarded(cell: str) -> str:
    """
    What stood in a cell before an export kept it from running as a formula.

    >>> unguarded("'=1+1"), unguarded("'round"), unguarded("2 kg")
    ('=1+1', "'round", '2 kg')
    """
    return cell[1:] if cell.startswith(GUARDED) else cell


def headings() -> Iterable[tuple[str, str]]:
    """Each column and the headings it is known by."""
    return ((column.replace("_", " "), ", ".join(names)) for column, names in COLUMNS.items())
