"""Every way in which a list can be broken, sent to the page that takes it: each gets its sentence beside the field."""

import io
import re
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from inventory import lists, workbooks
from inventory.refusals import Refused
from inventory.workbooks import CUT_SHORT, DAMAGED, LOCKED, NO_SHEET, NO_WORKBOOK, OLE
from studio.shelf.models import ImportedFile
from tests.factories import PlaceFactory

pytestmark = pytest.mark.django_db

SHEET, BOOK, WORDS = "xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/sharedStrings.xml"
EMPTY_PART = "empty or not well-formed XML (no element found: line 1, column 0)"
CSV = b"material,amount\nTape,3\n"


def workbook(**changed):
    """A workbook with a list in it, some of its parts replaced by others, or left out."""
    book, file = Workbook(), io.BytesIO()
    for row in (["Material", "Amount"], ["Tape", 3]):
        book.active.append(row)
    book.save(file)
    return zipped(parts_of(file.getvalue()) | changed)


def parts_of(content):
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        return {name: parts.read(name) for name in parts.namelist()}


def zipped(parts):
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in parts.items():
            if content is not None:
                packed.writestr(name, content)
    return file.getvalue()


def sheet_of(cells):
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return f'<worksheet xmlns="{main}"><sheetData><row r="1">{cells}</row></sheetData></worksheet>'.encode()


def locked(content):
    """The same with the bit that says encrypted (APPNOTE 4.4.4) in each of its parts' headers."""
    content = bytearray(content)
    for signature, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        for found in re.finditer(re.escape(signature), bytes(content)):
            content[found.start() + flags] |= 1
    return bytes(content)


def garbled(content):
    """The same with its sheet's packed bytes spoiled."""
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        at = parts.getinfo(SHEET).header_offset + 30 + len(SHEET)
    return content[:at] + b"\xff" * 20 + content[at + 20 :]


WHOLE = workbook()
BROKEN = {
    "no zip": (b"\0\1\2 nothing", "list.xlsx", CUT_SHORT),
    "its first bytes alone": (WHOLE[:30], "list.xlsx", CUT_SHORT),
    "cut short": (WHOLE[:-200], "list.xlsx", CUT_SHORT),
    "cut short and named otherwise": (WHOLE[:-200], "list.csv", CUT_SHORT),
    "garbled": (garbled(WHOLE), "list.xlsx", DAMAGED),
    "locked as spreadsheets lock": (OLE + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "list.xlsx", LOCKED),
    "locked as zips are": (locked(WHOLE), "list.xlsx", LOCKED),
    "of the old kind": (OLE + bytes(600), "list.xls", "old kind (XLS)"),
    "of the old kind and renamed": (OLE + bytes(600), "list.xlsx", "old kind (XLS)"),
    "OpenDocument": (zipped({"mimetype": b"x", "content.xml": b"<x/>"}), "list.ods", "OpenDocument"),
    "OpenDocument and renamed": (zipped({"mimetype": b"x", "content.xml": b"<x/>"}), "list.xlsx", "OpenDocument"),
    "binary": (zipped({"xl/workbook.bin": b"x"}), "list.xlsb", "binary workbook (XLSB)"),
    "text named a workbook": (CSV, "list.xlsx", "plain text called a workbook"),
    "a zip of something else": (zipped({"notes.txt": b"x"}), "list.xlsx", NO_WORKBOOK),
    "an empty zip": (zipped({}), "list.xlsx", NO_WORKBOOK),
    "no workbook part": (workbook(**{BOOK: None}), "list.xlsx", NO_WORKBOOK),
    "an empty workbook part": (workbook(**{BOOK: b""}), "list.xlsx", EMPTY_PART),
    "no sheet part": (workbook(**{SHEET: None}), "list.xlsx", NO_SHEET),
    "an empty sheet part": (workbook(**{SHEET: b""}), "list.xlsx", EMPTY_PART),
    "bad XML in its sheet": (
        workbook(**{SHEET: b"<worksheet><sheetData><row>"}),
        "list.xlsx",
        "not well-formed XML (no element found: line 1, column 27)",
    ),
    "no XML in its sheet": (
        workbook(**{SHEET: b"\xff\xfe\0"}),
        "list.xlsx",
        "not well-formed XML (unclosed token: line 1, column 1)",
    ),
    "a number that is none": (workbook(**{SHEET: sheet_of('<c r="A1"><v>many</v></c>')}), "list.xlsx", DAMAGED),
    "words that are not there": (workbook(**{SHEET: sheet_of('<c r="A1" t="s"><v>99</v></c>')}), "list.xlsx", DAMAGED),
    "bad XML after its headings": (
        workbook(**{SHEET: sheet_of("")[:-24] + b'<row r="1"><c r="A1"><v>1</v></c></row><row'}),
        "list.xlsx",
        "not well-formed XML (unclosed token: line 1, column 144)",
    ),
    "a sheet without cells": (workbook(**{SHEET: sheet_of("")}), "list.xlsx", NO_SHEET),
    "a document type": (workbook(**{SHEET: b'<!DOCTYPE x [<!ENTITY a "aa">]><x>&a;</x>'}), "list.xlsx", DAMAGED),
    "far larger unpacked": (
        workbook(**{SHEET: bytes(workbooks.LARGEST_UNPACKED_BYTES)}),
        "list.xlsx",
        "far larger than a list",
    ),
    "larger than a list": (b"\0" * (lists.LARGEST_BYTES + 1), "list.xlsx", "larger than 20 MB"),
    "empty": (b"", "list.xlsx", "That file is empty."),
    "a picture": (b"GIF89a\0\0", "list.csv", "neither a CSV nor an XLSX"),
}


def test_a_broken_list_is_refused_in_a_sentence_beside_the_field(keyholder):
    place = PlaceFactory()

    for what, (content, name, said) in BROKEN.items():
        file = SimpleUploadedFile(name, content)
        answer = keyholder.post(reverse("shelf:import_file"), {"file": file, "place": place.pk})

        assert answer.status_code == 200, what
        assert str(said) in str(answer.context["form"].errors["file"].as_data()), what
        assert f'value="{place.pk}" selected' in answer.content.decode(), what
    assert not ImportedFile.objects.exists()


# the beginnings of what would fill the memory, or keep everybody waiting, if it were read to its end
BOMBS = {
    "cells": {SHEET: sheet_of("<c/>" * 2_000)},
    "rows": {SHEET: sheet_of("</row>" + "<row></row>" * 2_000 + "<row>")},
    "rows far down": {SHEET: sheet_of("").replace(b'r="1"', b'r="1048576"')},
    "words": {WORDS: b"<sst>" + b"<si><t>a</t></si>" * 2_000 + b"</sst>"},
    "formats": {"xl/styles.xml": b"<styleSheet><cellXfs>" + b"<xf/>" * 2_000 + b"</cellXfs></styleSheet>"},
    "merged cells": {SHEET: b"<worksheet>" + b'<mergeCell ref="A1:A1048576"/>' * 2_000 + b"</worksheet>"},
    "nothing known": {SHEET: b"<worksheet>" + b"<a/>" * 2_000 + b"</worksheet>"},
}


def test_a_workbook_that_unpacks_into_far_more_than_a_list_is_not_read_to_its_end(monkeypatch):
    monkeypatch.setattr(workbooks, "MOST_ELEMENTS", 1_000)

    for what, parts in BOMBS.items():
        with pytest.raises(Refused) as refusal:
            lists.read(workbook(**parts), "list.xlsx")

        assert "far larger than a list" in str(refusal.value.message) or "more than 100000 lines" in str(
            refusal.value
        ), what


def test_a_cell_is_no_longer_than_a_cell(monkeypatch):
    [sheet] = lists.read(workbook(**{SHEET: sheet_of(f'<c t="str"><v>{"a" * 1_000_000}</v></c>')}), "list.xlsx")

    assert sheet.rows == [(1, ["a" * workbooks.LONGEST_CELL])]


def test_a_workbook_is_known_by_what_is_in_it(keyholder):
    answer = keyholder.post(
        reverse("shelf:import_file"), {"file": SimpleUploadedFile("list.csv", WHOLE), "place": PlaceFactory().pk}
    )

    assert answer.status_code == 302
    assert ImportedFile.objects.get().sheets == [["Sheet", [[1, ["Material", "Amount"]], [2, ["Tape", "3"]]], []]]
