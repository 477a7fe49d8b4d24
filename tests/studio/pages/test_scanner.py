"""Files that people bring, and whatever the studio set to look through them."""

import sys

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.forms import FileField
from django.urls import get_resolver

from studio.pages.documents import DocumentField, scanned
from studio.pages.fields import FigureForm
from studio.shelf.forms.importing import FileForm
from tests.studio.printing.test_uploaded_pdf import sheet

FINDS_EVIL = "import sys; sys.exit(b'evil' in sys.stdin.buffer.read())"


@pytest.fixture
def scanner(settings):
    settings.SCANNER = [sys.executable, "-c", FINDS_EVIL]


def brought(content: bytes):
    return DocumentField().clean([SimpleUploadedFile("sheet.pdf", content)])


def test_a_file_in_which_the_scanner_finds_something_is_not_kept(scanner):
    evil = SimpleUploadedFile("sheet.pdf", sheet() + b"% evil")

    with pytest.raises(ValidationError, match="scanner found something in sheet.pdf"):
        DocumentField().clean([evil])


def test_a_file_in_which_it_finds_nothing_is_kept_whole(scanner):
    content = sheet()

    assert brought(content).file.read() == content


@pytest.mark.parametrize("command", [["/nowhere/scanner"], [sys.executable, "-c", "raise SystemExit(2)"]])
def test_a_file_that_the_scanner_could_not_look_at_is_not_kept(settings, command):
    settings.SCANNER = command

    with pytest.raises(ValidationError, match="could not look at sheet.pdf"):
        brought(sheet())


def test_without_a_scanner_nobody_is_asked(settings):
    settings.SCANNER = []

    assert brought(sheet()).sha256


def test_a_list_is_looked_through_too(scanner):
    form = FileForm({}, {"file": SimpleUploadedFile("stock.csv", b"name;amount\nevil;1 kg\n")})

    assert "scanner found something in stock.csv" in form.errors["file"][0]


def test_whatever_takes_a_file_has_it_looked_through():
    def forms(kind):
        return [kind, *(deeper for each in kind.__subclasses__() for deeper in forms(each))]

    _ = get_resolver().reverse_dict  # loads every form there is
    fields = [
        field for form in forms(FigureForm) for field in form.base_fields.values() if isinstance(field, FileField)
    ]

    assert len(fields) > 5
    assert all(scanned in field.validators for field in fields)
