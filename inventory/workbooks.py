"""The first sheet of a workbook (XLSX), or in one sentence what keeps it from being read."""

import io
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from xml.etree.ElementTree import ParseError

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.refusals import Refused

LARGEST_UNPACKED_BYTES = 60_000_000
ZIP, OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # how the files begin; OLE: MS-CFB 2.2
LOCKED_IN_OLE = "EncryptedPackage".encode("utf-16-le")  # MS-OFFCRYPTO 2.3.4.4
OTHER_KINDS = {
    "content.xml": gettext_lazy("That is an OpenDocument spreadsheet; save the list as XLSX or CSV."),
    "xl/workbook.bin": gettext_lazy("That is a binary workbook (XLSB); save the list as XLSX or CSV."),
}
LOCKED = gettext_lazy("That workbook is locked with a password; save it without one.")
NO_SHEET = gettext_lazy("That workbook has no sheet with cells.")
CUT_SHORT = gettext_lazy("It cannot be opened: that is neither a CSV nor an XLSX file, or it was cut short on its way.")
SAVE = gettext_lazy("open it in a spreadsheet and save the list as CSV.")
DAMAGED = gettext_lazy("That workbook is damaged and cannot be opened; %(SAVE)s") % {"SAVE": SAVE}
NO_WORKBOOK = gettext_lazy("There is no workbook in that file; save the list as XLSX or CSV.")


def is_workbook(content: bytes, name: str) -> bool:
    """By its name or by what is in it: people rename what a page refused."""
    return name.lower().endswith(".xlsx") or content.startswith((ZIP, OLE))


def first_sheet(content: bytes, *, most_columns: int) -> Iterator[tuple[int, list[str]]]:
    """Each row's number and its cells as text."""
    refuse_other_kinds(content)
    from openpyxl import load_workbook  # 0.2 s, paid by whoever brings a workbook

    try:
        # data_only: the figure a formula had when it was saved, for nobody here works it out
        sheets = load_workbook(io.BytesIO(content), read_only=True, data_only=True).worksheets
        if not sheets:
            raise Refused("file", NO_SHEET)
        for number, row in enumerate(sheets[0].iter_rows(values_only=True, max_col=most_columns), 1):
            # spreadsheets keep cells that once were written in; they are no columns
            cells = [text_of(cell) for cell in row]
            while cells and not cells[-1]:
                cells.pop()
            yield number, cells
    except Refused:
        raise
    except (KeyError, OSError) as error:
        raise Refused("file", NO_WORKBOOK) from error
    except ParseError as error:
        raise Refused(
            "file",
            _("A part of that workbook is empty or not well-formed XML (%(error)s); %(SAVE)s")
            % {"error": error, "SAVE": SAVE},
        ) from error
    except Exception as error:  # a broken file makes the reader trip in ways that it does not announce
        raise Refused("file", DAMAGED) from error


def refuse_other_kinds(content: bytes) -> None:
    if content.startswith(OLE):
        is_locked = LOCKED_IN_OLE in content
        raise Refused(
            "file", LOCKED if is_locked else _("That is a workbook of the old kind (XLS); save it as XLSX or CSV.")
        )
    if content and b"\0" not in content:
        raise Refused("file", _("It cannot be opened: that is plain text called a workbook. Let its name end in .csv."))
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as parts:
            listed = parts.infolist()
            # the reader would ask for a password in the middle of a sheet
            if any(part.flag_bits & 1 for part in listed):
                raise Refused("file", LOCKED)
            for name in OTHER_KINDS.keys() & set(parts.namelist()):
                raise Refused("file", OTHER_KINDS[name])
            # asked before anything is unpacked: a small file can hold more than the machine's memory
            if sum(part.file_size for part in listed) > LARGEST_UNPACKED_BYTES:
                raise Refused(
                    "file", _("Unpacked, that workbook is far larger than a list; save the one sheet as CSV.")
                )
    except zipfile.BadZipFile as error:
        raise Refused("file", CUT_SHORT) from error


def text_of(cell: object) -> str:
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, float):
        return f"{cell:.10g}"
    return "" if cell is None else str(cell).strip()
