"""Documents in a folder, or in storage that speaks S3."""

from contextlib import nullcontext
from pathlib import Path
from uuid import uuid4

import boto3
import pytest
from django.core.exceptions import ImproperlyConfigured
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse
from moto.server import ThreadedMotoServer

from inventory import uploads
from inventory.models import SafetySheet
from studio.server import backups, documents, keeping
from tests.factories import MaterialFactory
from tests.studio.printing.test_uploaded_pdf import sheet

WITHOUT = (Path("/elsewhere"), {})


def test_without_a_word_they_lie_in_the_data_folder_or_in_one_that_all_nodes_share(tmp_path):
    assert documents.chosen("", data=tmp_path) == (tmp_path / "uploads", {"BACKEND": documents.IN_A_FOLDER})
    assert documents.chosen("/srv/shared", data=tmp_path)[0].as_posix() == "/srv/shared"


def test_an_address_names_bucket_folder_and_where_it_is(tmp_path):
    options = documents.chosen("s3://press/sheets/?endpoint_url=https://store.example", data=tmp_path)[1]["OPTIONS"]

    assert (options["bucket_name"], options["location"]) == ("press", "sheets")
    assert options["endpoint_url"] == "https://store.example"


def test_a_word_that_means_nothing_here_is_refused(tmp_path):
    with pytest.raises(ImproperlyConfigured, match="not in color"):
        documents.chosen("s3://press?color=blue", data=tmp_path)


@pytest.mark.parametrize(
    ("of_documents", "of_backups", "is_refused"),
    [
        ("", "", False),
        ("/srv/press", "/srv/press/backups", True),
        ("/srv/press", "/srv/press-backups", False),
        ("s3://press", "s3://press/backups", True),
        ("s3://press/sheets?region_name=a", "s3://press/sheets/", True),
        ("s3://press/sheets", "s3://press/backups", False),
        ("s3://press", "s3://press-backups", False),
        ("s3://press", "", False),
    ],
)
def test_backups_among_the_documents_would_hold_each_other(tmp_path, of_documents, of_backups, is_refused):
    chosen = documents.chosen(of_documents, data=tmp_path)

    with pytest.raises(ImproperlyConfigured) if is_refused else nullcontext():
        documents.for_backups(of_backups, data=tmp_path, documents=chosen)


@pytest.fixture(scope="module")
def store():
    server = ThreadedMotoServer(port=0)
    server.start()
    host, port = server.get_host_and_port()
    yield f"http://{host}:{port}"
    server.stop()


@pytest.fixture
def bucket(store, settings, monkeypatch, tmp_path):
    """An empty bucket in which the book keeps its documents."""
    for name in ("ID", "SECRET"):
        monkeypatch.setenv(f"AWS_ACCESS_KEY_{name}" if name == "ID" else "AWS_SECRET_ACCESS_KEY", "tests")
    name = f"press-{uuid4().hex}"
    made = boto3.resource("s3", endpoint_url=store, region_name="us-east-1").Bucket(name)
    made.create()
    settings.DATA = tmp_path
    said = f"s3://{name}/of-the-book?endpoint_url={store}&region_name=us-east-1"
    settings.MEDIA_ROOT, default = documents.chosen(said, data=tmp_path)
    settings.STORAGES = {**settings.STORAGES, "default": default}
    yield made
    made.objects.delete()


def filed(member):
    file = SimpleUploadedFile("thinner.pdf", sheet(), "application/pdf")
    address = reverse("shelf:file_sheet", args=[MaterialFactory().pk])
    return member.post(address, {"key": uuid4(), "file": file, "dated_on": "2025-11-03"})


def handed_out(member):
    return b"".join(member.get(SafetySheet.objects.get().get_absolute_url()).streaming_content)


@pytest.mark.django_db
def test_a_sheet_is_kept_in_the_bucket_and_handed_out_by_the_book(member, bucket, tmp_path):
    filed(member)

    [kept] = bucket.objects.all()
    assert kept.key == f"of-the-book/{SafetySheet.objects.get().file.name}"
    assert list(uploads.kept()) == [SafetySheet.objects.get().file.name]
    assert not (tmp_path / "uploads").exists()
    assert handed_out(member) == sheet()


@pytest.mark.django_db
def test_a_sheet_that_is_gone_from_it_is_said_to_be(member, bucket):
    filed(member)
    bucket.objects.delete()

    assert member.get(SafetySheet.objects.get().get_absolute_url()).status_code == 404


@pytest.mark.django_db
def test_nothing_stays_in_it_of_a_write_that_failed(member, bucket, monkeypatch):
    def fails(self, **how):
        raise RuntimeError("the connection is gone")

    monkeypatch.setattr(SafetySheet, "save", fails)

    with pytest.raises(RuntimeError):
        filed(member)

    assert list(bucket.objects.all()) == []


@pytest.mark.django_db(transaction=True)
def test_a_backup_brings_what_was_in_it_and_takes_what_came_later(member, bucket, tmp_path):
    filed(member)
    name = SafetySheet.objects.get().file.name
    archive = backups.make(tmp_path / "stick")
    bucket.objects.delete()
    bucket.put_object(Key="of-the-book/documents/later.pdf", Body=b"%PDF- came later")

    backups.restore(archive)

    assert list(uploads.kept()) == [name]
    assert handed_out(member) == sheet()
    connection.close()


@pytest.mark.django_db(transaction=True)
def test_the_book_s_own_backups_are_kept_in_a_bucket_too(store, bucket, settings, tmp_path, monkeypatch):
    monkeypatch.setattr(keeping, "standing", keeping.Standing())
    said = f"s3://{bucket.name}/backups?endpoint_url={store}&region_name=us-east-1"
    settings.STORAGES = {**settings.STORAGES, "backups": documents.for_backups(said, data=tmp_path, documents=WITHOUT)}
    MaterialFactory(name="Blue crystals")

    keeping.look_after()
    [kept] = keeping.kept()
    with keeping.at_hand(kept.name) as archive:
        backups.restore(archive)

    assert [each.key for each in bucket.objects.all()] == [f"backups/{kept.name}"]
    assert keeping.storage().place == f"s3://{bucket.name}/backups"
    assert keeping.standing.is_any
    assert not list(tmp_path.glob(".backup-*"))
    connection.close()


@pytest.mark.django_db(transaction=True)
def test_a_bucket_that_cannot_be_reached_is_a_sentence(store, bucket, settings, tmp_path, monkeypatch):
    monkeypatch.setattr(keeping, "standing", keeping.Standing())
    said = f"s3://no-such-bucket-{uuid4().hex}/?endpoint_url={store}&region_name=us-east-1"
    settings.STORAGES = {**settings.STORAGES, "backups": documents.for_backups(said, data=tmp_path, documents=WITHOUT)}

    keeping.look_after()

    assert "cannot be looked at" in keeping.standing.why_not
    assert keeping.standing.warning == "The last backup failed."
    connection.close()
