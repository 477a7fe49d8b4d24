"""
The sheets of a workbook (XLSX), or in one sentence what keeps it from being read.

Each part is heard element by element and nothing of it is kept but cells: a file of 100 kB can unpack to gigabytes of
anything else, so all of it is counted while it is read.
"""

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from posixpath import join, normpath
from typing import IO
from xml.parsers import expat

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from inventory.refusals import Refused

LARGEST_UNPACKED_BYTES = 60_000_000
MOST_ROWS = 100_000
ABOVE = 20  # rows that a title takes
MOST_COLUMNS = 60
MOST_ELEMENTS = 3_000_000  # all rows with a dozen cells each
MOST_WORDS = 600_000
LONGEST_CELL = 300
AT_ONCE = 1 << 20
ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how the files begin; OLE: MS-CFB 2.2
LOCKED_IN_OLE = "EncryptedPackage".encode("utf-16-le")  # MS-OFFCRYPTO 2.3.4.4
OTHER_KINDS = {
    "content.xml": _("That is an OpenDocument spreadsheet; save the list as XLSX or CSV."),
    "xl/workbook.bin": _("That is a binary workbook (XLSB); save the list as XLSX or CSV."),
}
OLD_KIND = _("That is a workbook of the old kind (XLS); save it as XLSX or CSV.")
CALLED_A_WORKBOOK = _("It cannot be opened: that is plain text called a workbook. Let its name end in .csv.")
LOCKED = _("That workbook is locked with a password; save it without one.")
NO_SHEET = _("That workbook has no sheet with cells.")
CUT_SHORT = _("It cannot be opened: that is neither a CSV nor an XLSX file, or it was cut short on its way.")
DAMAGED = _("That workbook is damaged and cannot be opened; open it in a spreadsheet and save the list as CSV.")
NO_WORKBOOK = _("There is no workbook in that file; save the list as XLSX or CSV.")
NOT_XML = _(
    "A part of that workbook is empty or not well-formed XML (%(error)s); "
    "open it in a spreadsheet and save the list as CSV."
)
TOO_LARGE = _("Unpacked, that workbook is far larger than a list; save the one sheet as CSV.")
TOO_MANY_ROWS = ngettext_lazy(
    "There is more than %(rows)s line; bring the list in part by part.",
    "There are more than %(rows)s lines; bring the list in part by part.",
    "rows",
)
TOO_MANY_COLUMNS = ngettext_lazy(
    "There is more than %(columns)s column.", "There are more than %(columns)s columns.", "columns"
)
NOT_WORKED_OUT = "=?"  # a formula saved by what works none out

WORKBOOK, STRINGS, STYLES = "xl/workbook.xml", "xl/sharedStrings.xml", "xl/styles.xml"
TARGETS = "xl/_rels/workbook.xml.rels"
# numbers of formats that every spreadsheet knows: ECMA-376 part 1, 18.8.30
DAYS = frozenset((*range(14, 18), 22, *range(27, 37), *range(50, 59)))
WORDS_IN_A_FORMAT = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')
UNIT_IN_A_FORMAT = re.compile(r'[0#?][^;"]*"\s*([^"]+?)\s*"')
EPOCHS = {False: date(1899, 12, 30), True: date(1904, 1, 1)}


Began = Callable[[str, dict[str, str]], None]


@dataclass
class Sheet:
    """merged: first and last row and the column of each cell that reaches over several rows."""

    name: str
    rows: list[tuple[int, list[str]]] = field(default_factory=list)
    merged: list[tuple[int, int, int]] = field(default_factory=list)


def is_workbook(content: bytes, name: str) -> bool:
    """By its name or by what is in it: people rename what a page refused."""
    return name.lower().endswith(".xlsx") or content.startswith((ZIP, OLE))


def sheets(content: bytes) -> list[Sheet]:
    """All that have cells, as they stand in the workbook."""
    refuse_other_kinds(content)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            read = [sheet for sheet in Workbook(parts).sheets() if sheet.rows]
    except Refused:
        raise
    except (KeyError, OSError) as error:
        raise Refused("file", NO_WORKBOOK) from error
    except expat.ExpatError as error:
        raise Refused("file", NOT_XML % {"error": error}) from error
    except Exception as error:  # a broken file trips its reader in ways that nobody announces
        raise Refused("file", DAMAGED) from error
    if not read:
        raise Refused("file", NO_SHEET)
    return read


def refuse_other_kinds(content: bytes) -> None:
    if content.startswith(OLE):
        raise Refused("file", LOCKED if LOCKED_IN_OLE in content else OLD_KIND)
    if content and b"\0" not in content:
        raise Refused("file", CALLED_A_WORKBOOK)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            listed = parts.infolist()
            # a reader would ask for the password in the middle of a sheet
            if any(part.flag_bits & 1 for part in listed):
                raise Refused("file", LOCKED)
            for name in OTHER_KINDS.keys() & set(parts.namelist()):
                raise Refused("file", OTHER_KINDS[name])
            # asked before anything is unpacked: a small file can hold more than the machine's memory
            if sum(part.file_size for part in listed) > LARGEST_UNPACKED_BYTES:
                raise Refused("file", TOO_LARGE)
    except zipfile.BadZipFile as error:
        raise Refused("file", CUT_SHORT) from error


class Part:
    """Hears the elements of the parts of one workbook, and counts them all together."""

    def __init__(self) -> None:
        self.elements = 0

    def hear(self, file: IO[bytes], began: Began, ended: Callable[[str], None], text: list[str]) -> None:
        """began, ended: told each element by its name without its space. text: takes what stands in it."""
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True

        def start(name: str, attributes: dict[str, str]) -> None:
            self.elements += 1
            if self.elements > MOST_ELEMENTS:
                raise Refused("file", TOO_LARGE)
            began(name.rpartition(" ")[2], attributes)

        def characters(words: str) -> None:
            if len(text) < LONGEST_CELL:
                text.append(words[:LONGEST_CELL])

        def doctype(*declared: object) -> None:
            raise Refused("file", DAMAGED)  # no spreadsheet writes one, and it may grow without end

        parser.StartElementHandler = start
        parser.EndElementHandler = lambda name: ended(name.rpartition(" ")[2])
        parser.CharacterDataHandler = characters
        parser.StartDoctypeDeclHandler = doctype
        while some := file.read(AT_ONCE):
            parser.Parse(some)
        parser.Parse(b"", True)


class Workbook:
    def __init__(self, parts: zipfile.ZipFile):
        self.parts, self.part = parts, Part()
        self.named: list[tuple[str, str]] = []
        self.is_1904 = False
        self.words: list[str] = []
        self.cells_formats: list[int] = []
        self.formats: dict[int, str] = {}

    def sheets(self) -> Iterator[Sheet]:
        self.hear(WORKBOOK, self.workbook_began)
        targets: dict[str, str] = {}
        self.hear(TARGETS, lambda name, told: targets.update({told.get("Id", ""): told.get("Target", "")}))
        if STRINGS in self.parts.namelist():
            self.hear_words()
        if STYLES in self.parts.namelist():
            self.hear_formats()
        for name, key in self.named:
            path = normpath(join("/xl", targets[key])).lstrip("/")
            if path in self.parts.namelist():
                yield self.sheet(name, path)

    def hear(
        self,
        path: str,
        began: Began,
        ended: Callable[[str], None] = lambda name: None,
        text: list[str] | None = None,
    ) -> None:
        with self.parts.open(path) as file:
            self.part.hear(file, began, ended, [] if text is None else text)

    def workbook_began(self, name: str, told: dict[str, str]) -> None:
        if name == "workbookPr":
            self.is_1904 = told.get("date1904") in ("1", "true")
        elif name == "sheet":
            key = next((value for each, value in told.items() if each.rpartition(" ")[0].endswith("relationships")), "")
            self.named.append((told.get("name", ""), key))

    def hear_words(self) -> None:
        """The words that cells point at; what tells how they are spoken stands beside them and is none of them."""
        text: list[str] = []
        kept: list[str] = []

        def began(name: str, told: dict[str, str]) -> None:
            if name == "si":
                kept.clear()
            text.clear()

        def ended(name: str) -> None:
            if name == "t":
                kept.extend(text)
            elif name == "rPh":
                kept.pop()
            elif name == "si":
                self.words.append("".join(kept).strip()[:LONGEST_CELL])
                if len(self.words) > MOST_WORDS:
                    raise Refused("file", TOO_LARGE)

        self.hear(STRINGS, began, ended, text)

    def hear_formats(self) -> None:
        """Of each style of a cell the number of its format; styles of other things stand beside them."""
        lists: list[str] = []

        def began(name: str, told: dict[str, str]) -> None:
            if name.endswith("Xfs"):
                lists.append(name)
            elif name == "numFmt":
                self.formats[int(told["numFmtId"])] = told["formatCode"]
            elif name == "xf" and lists[-1:] == ["cellXfs"]:
                self.cells_formats.append(int(told.get("numFmtId", 0)))

        self.hear(STYLES, began)

    def sheet(self, name: str, path: str) -> Sheet:
        hearing = SheetHearing(self, Sheet(name))
        self.hear(path, hearing.began, hearing.ended, hearing.text)
        return hearing.sheet

    def number(self, text: str, style: int) -> str:
        """A number as its cell shows it: a day, or with the unit that its format writes behind it."""
        number = float(text)
        kind = self.cells_formats[style] if style < len(self.cells_formats) else 0
        written = self.formats.get(kind, "")
        if number >= 1 and (kind in DAYS or re.search("[dy]", WORDS_IN_A_FORMAT.sub("", written), re.IGNORECASE)):
            return (EPOCHS[self.is_1904] + timedelta(days=int(number))).isoformat()
        unit = UNIT_IN_A_FORMAT.search(written)
        return f"{plain_number(number)} {unit[1]}" if unit else plain_number(number)


class SheetHearing:
    """One sheet while it is heard: its rows fill up cell by cell."""

    def __init__(self, workbook: Workbook, sheet: Sheet):
        self.workbook, self.sheet = workbook, sheet
        self.text: list[str] = []
        self.value: list[str] = []
        self.row, self.column, self.kind, self.style, self.is_formula = 0, 0, "", 0, False
        self.cells: list[str] = []

    def began(self, name: str, told: dict[str, str]) -> None:
        if name == "row":
            self.row, self.column, self.cells = int(told.get("r", self.row + 1)), 0, []
            if self.row > MOST_ROWS + ABOVE:
                raise Refused("file", TOO_MANY_ROWS % {"rows": MOST_ROWS})
        elif name == "c":
            self.column = column_of(told["r"]) if "r" in told else self.column + 1
            self.kind, self.style, self.is_formula = told.get("t", "n"), int(told.get("s", 0)), False
            self.value.clear()
        elif name == "f":
            self.is_formula = True
        elif name == "mergeCell" and len(self.sheet.merged) < MOST_ROWS:
            first, _colon, last = told["ref"].partition(":")
            rows = [int(re.sub(r"\D", "", end)) for end in (first, last or first)]
            if rows[0] < rows[1]:
                self.sheet.merged.append((rows[0], min(rows[1], MOST_ROWS + ABOVE), column_of(first) - 1))
        self.text.clear()

    def ended(self, name: str) -> None:
        if name in ("v", "t"):
            self.value.extend(self.text)
        elif name == "rPh":
            self.value.pop()
        elif name == "c":
            self.put("".join(self.value).strip())
        elif name == "row":
            # spreadsheets keep cells that once were written in; they are no columns
            while self.cells and not self.cells[-1]:
                self.cells.pop()
            if self.cells:
                self.sheet.rows.append((self.row, self.cells))

    def put(self, text: str) -> None:
        if self.is_formula and not text:
            text = NOT_WORKED_OUT
        elif self.kind == "s":
            text = self.workbook.words[int(text)]
        elif self.kind == "d":
            text = text[:10]
        elif self.kind == "n" and text:
            text = self.workbook.number(text, self.style)
        if text and self.column > MOST_COLUMNS:
            raise Refused("file", TOO_MANY_COLUMNS % {"columns": MOST_COLUMNS})
        if text:
            self.cells.extend([""] * (self.column - len(self.cells)))
            self.cells[self.column - 1] = text[:LONGEST_CELL]


def column_of(reference: str) -> int:
    """
    >>> column_of("A1"), column_of("AB12")
    (1, 28)
    """
    column = 0
    for letter in reference:
        if not letter.isalpha():
            break
        column = 26 * column + ord(letter.upper()) - 64
    return column


def plain_number(number: float) -> str:
    """
    Without an exponent, and never so that its mark could be taken for one between thousands.

    >>> plain_number(2.50), plain_number(1e9), plain_number(1.234), plain_number(0.1 + 0.2)
    ('2.5', '1000000000', '1.2340', '0.3')
    """
    if number.is_integer() and abs(number) < 1e15:
        return str(int(number))
    text = f"{number:.10f}".rstrip("0") if abs(number) < 1e15 else f"{number:g}"
    return f"{text}0" if len(text.partition(".")[2]) == 3 else text
