"""A list somebody kept elsewhere as the sheets of its file: CSV as spreadsheets write it, or XLSX."""

import codecs
import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from itertools import islice

from django.utils.translation import gettext as _

from inventory import workbooks
from inventory.refusals import Refused
from inventory.workbooks import ABOVE, LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, TOO_MANY_COLUMNS, TOO_MANY_ROWS, Sheet

LARGEST_BYTES = 20_000_000
SEPARATORS = ";\t,|"
LOOKED_AT = 60  # rows that tell how a file separates its cells
GUARDED = re.compile(r"(^|[;\t\r\n])'(?=\s*\"?[=+\-@\t\r\0])")
NAMES_ITS_SEPARATOR = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)


def read(content: bytes, name: str) -> list[Sheet]:
    """Its sheets with the rows that hold something; refused as a whole where it cannot be read."""
    if len(content) > LARGEST_BYTES:
        most = LARGEST_BYTES // 1_000_000
        raise Refused("file", _("The file is larger than %(most)s MB; bring it in part by part.") % {"most": most})
    if workbooks.is_workbook(content, name):
        sheets = workbooks.sheets(content)
    else:
        sheets = [Sheet("", list(csv_rows(text_of(content))))]
    for sheet in sheets:
        sheet.rows = [(number, [unguarded(cell) for cell in cells]) for number, cells in sheet.rows]
    if not any(sheet.rows for sheet in sheets):
        raise Refused("file", _("Nothing is written in that file."))
    return sheets


def text_of(content: bytes) -> str:
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if content.startswith(mark):
            return content.decode(encoding, errors="replace").replace("\0", "")
    # without its mark: every other byte of plain letters is nought
    for first, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        some = content[:1000][first::2]
        if some and some.count(0) > 0.8 * len(some):
            return content.decode(encoding, errors="replace").replace("\0", "")
    if b"\0" in content:
        raise Refused("file", _("That is neither a CSV nor an XLSX file; save the list as one of them."))
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError:
        # older spreadsheets write the letters of their own system
        text = content.decode("cp1252", errors="replace")
        if "\ufffd" in text:
            raise Refused("file", _("Its letters are not understood; save the list as CSV in UTF-8.")) from None
        return text


def csv_rows(text: str) -> Iterator[tuple[int, list[str]]]:
    named = NAMES_ITS_SEPARATOR.match(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=named[1] if named else separator_of(text), strict=True)
    try:
        for row in islice(reader, 1 if named else 0, None):
            if reader.line_num > MOST_ROWS + ABOVE:
                raise Refused("file", TOO_MANY_ROWS % {"rows": MOST_ROWS})
            cells = [cell.strip()[:LONGEST_CELL] for cell in row]
            while cells and not cells[-1]:
                cells.pop()
            if len(cells) > MOST_COLUMNS:
                raise Refused("file", TOO_MANY_COLUMNS % {"columns": MOST_COLUMNS})
            if cells:
                yield reader.line_num, cells
    except csv.Error as error:
        told = _("Line %(line)s cannot be taken apart: %(error)s.")
        raise Refused("file", told % {"line": reader.line_num, "error": error}) from error


def separator_of(text: str) -> str:
    """
    The mark that takes most rows apart into equally many cells: titles above the headings hold none.

    >>> separator_of("What we have\\nname;amount\\nTape;2,5 m\\n"), separator_of("name,amount\\nTape,3")
    (';', ',')
    """
    lines = text.splitlines()[:LOOKED_AT]

    def taken_apart(mark: str) -> int:
        widths = Counter(len(row) for row in csv.reader(lines, delimiter=mark) if any(row))
        return max((times for width, times in widths.items() if width > 1), default=0)

    return max(SEPARATORS, key=taken_apart)


def unguarded(cell: str) -> str:
    """
    What stood in a cell before an export kept it from running as a formula.

    >>> unguarded("'=1+1"), unguarded("'round"), unguarded("2 kg"), unguarded("a;'=1+1")
    ('=1+1', "'round", '2 kg', 'a;=1+1')
    """
    return GUARDED.sub(r"\1", cell) if "'" in cell else cell
