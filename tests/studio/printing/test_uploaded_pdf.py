"""What is taken for a safety sheet, and what is not."""

import hashlib
import struct
import zlib
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from pypdf import PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, NameObject, TextStringObject

from studio.printing import uploaded_pdf


def sheet(change=None) -> bytes:
    """A PDF of one page, changed before it is written."""
    writer = PdfWriter()
    writer.add_blank_page(210, 297)
    if change:
        change(writer)
    file = BytesIO()
    writer.write(file)
    return file.getvalue()


def checked(content: bytes) -> str:
    return uploaded_pdf.check(SimpleUploadedFile("sheet.pdf", content))


def named(key):
    def change(writer):
        action = DictionaryObject({NameObject(key): TextStringObject("x")})
        writer.root_object[NameObject("/Pages")].get_object()[NameObject("/PieceInfo")] = ArrayObject(
            [writer._add_object(action)]
        )

    return change


def acting(name):
    def change(writer):
        action = DictionaryObject({NameObject("/S"): NameObject(name)})
        writer.pages[0][NameObject("/Annots")] = ArrayObject([action])

    return change


def test_a_plain_sheet_is_known_by_its_hash():
    assert checked(sheet()) == hashlib.sha256(sheet()).hexdigest()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (named("/JavaScript"), "a script"),
        (named("/JS"), "a script"),
        (named("/OpenAction"), "something that happens when it is opened"),
        (named("/XFA"), "a form that runs"),
        (named("/AA"), "something that happens while it is read"),
        (acting("/Launch"), "a command to start a program"),
        (acting("/SubmitForm"), "a form that sends what is typed away"),
        (acting("/ImportData"), "a form that fetches something"),
        (acting("/GoToE"), "a jump into another file"),
        (acting("/GoToR"), "a jump into another file"),
        (lambda writer: writer.add_attachment("secret.txt", b"words"), "another file"),
        (lambda writer: writer.encrypt("tallow", algorithm="RC4-128"), "locked with a password"),
    ],
)
def test_a_sheet_that_does_more_than_be_read_is_refused(change, sentence):
    with pytest.raises(ValidationError, match=sentence):
        checked(sheet(change))


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"GIF89a" + bytes(100), "not a PDF, nor a photograph"),
        (b"<html>%PDF-1.4</html>", "not a PDF"),
        (b"%PDF-1.7\nnothing follows", "broken"),
        (sheet()[:200], "broken"),
        (b"%PDF-" + bytes(uploaded_pdf.LARGEST_BYTES), "10 MB at most"),
    ],
)
def test_what_is_no_sheet_is_refused_in_its_own_sentence(content, sentence):
    with pytest.raises(ValidationError, match=sentence):
        checked(content)


def test_a_name_written_in_disguise_is_read_all_the_same():
    plain = sheet(named("/JS"))
    disguised = plain.replace(b"/JS ", b"/#4aS ")

    assert disguised != plain
    with pytest.raises(ValidationError, match="a script"):
        checked(disguised)


def packed(hidden: bytes) -> bytes:
    """A PDF of one page that keeps an object inside a compressed stream, as PDF 1.5 has it (ISO 32000-1, 7.5.7)."""
    inside = zlib.compress(b"6 0 " + hidden)
    head = b"<< /Type /ObjStm /N 1 /First 4 /Filter /FlateDecode /Length %d >>" % len(inside)
    bodies = [
        b"<< /Type /Catalog /Pages 2 0 R /Extra 6 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 90 90] >>",
        head + b"\nstream\n" + inside + b"\nendstream",
    ]
    file, rows = b"%PDF-1.5\n", [bytes(4)]
    for number, body in enumerate(bodies, 1):
        rows.append(struct.pack(">BHB", 1, len(file), 0))
        file += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    start = len(file)
    table = b"".join([*rows, struct.pack(">BHB", 1, start, 0), struct.pack(">BHB", 2, 4, 0)])
    head = b"<< /Type /XRef /Size 7 /W [1 2 1] /Root 1 0 R /Length %d >>" % len(table)
    file += b"5 0 obj\n" + head + b"\nstream\n" + table + b"\nendstream\nendobj\n"
    return file + b"startxref\n%d\n%%%%EOF\n" % start


def test_a_script_inside_a_compressed_stream_is_found():
    checked(packed(b"<< /Title (x) >>"))
    assert b"/JS" not in packed(b"<< /JS (x) >>")

    with pytest.raises(ValidationError, match="a script"):
        checked(packed(b"<< /JS (x) >>"))
