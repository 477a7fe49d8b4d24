"""A file stays with the line that names it, and goes where that line was not written."""

import hashlib
from datetime import date

import pytest
from django.core.files.base import ContentFile

from inventory import book
from inventory.models import SafetySheet
from studio.shelf import operations
from tests.factories import signed, stocked

pytestmark = pytest.mark.django_db


def files(settings) -> list[str]:
    return sorted(path.name for path in settings.MEDIA_ROOT.rglob("*") if path.is_file())


@pytest.fixture(autouse=True)
def uploads(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def file_one():
    content = b"%PDF-1.7 sheet"
    facts = {"sha256": hashlib.sha256(content).hexdigest(), "dated_on": date(2026, 1, 2), "by": signed()}
    return operations.file_sheet(stocked("500 g").material, file=ContentFile(content, "sheet.pdf"), **facts)


def test_a_sheet_that_is_written_stays(settings):
    file_one()

    assert len(files(settings)) == 1


def test_nothing_stays_of_a_write_that_failed_after_its_file_was_there(settings, monkeypatch):
    save = SafetySheet.save

    def save_and_fail(self, **kwargs):
        save(self, **kwargs)
        assert len(files(settings)) == 1
        raise RuntimeError("the connection is gone")

    monkeypatch.setattr(SafetySheet, "save", save_and_fail)

    with pytest.raises(RuntimeError):
        file_one()

    assert files(settings) == []
    with book.entry("used", "another act goes on as ever", signed()):
        pass
