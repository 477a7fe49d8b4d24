"""The address that tells a proxy whether a node is well."""

import shutil
from datetime import timedelta
from types import SimpleNamespace

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from inventory import book
from studio.server import health, keeping
from tests.factories import stocked

pytestmark = pytest.mark.django_db


def asked(client, **headers):
    answer = client.get(health.PATH, headers=headers)
    said, *more = answer.content.decode().splitlines()
    return answer.status_code, said, dict(line.split(": ", 1) for line in more)


def test_a_stranger_learns_that_it_is_well_and_nothing_else(client):
    status, said, more = asked(client, x_forwarded_for="203.0.113.7", host="a.name.nobody.gave.it")

    assert (status, said, more) == (200, "ok", {})


def test_its_own_machine_is_told_what_was_looked_at(client):
    status, said, more = asked(client)

    assert (status, said) == (200, "ok")
    assert list(more) == ["disk", "database", "migrations", "clock", "backup"]


def test_a_full_disk_takes_a_node_out(client, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda path: SimpleNamespace(free=3_000_000))

    status, said, more = asked(client)

    assert (status, said, more["disk"]) == (503, "not ok", "3 MB are free")


def test_a_database_that_has_gone_takes_a_node_out(client, monkeypatch):
    def gone():
        raise OperationalError("connection refused")

    monkeypatch.setattr(connection, "cursor", gone)

    status, said, more = asked(client)

    assert (status, said, more["database"]) == (503, "not ok", "cannot be reached: connection refused")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda recorder: recorder.record_applied("inventory", "0099_from_tomorrow"), "newer build: inventory 0099"),
        (lambda recorder: recorder.record_unapplied("workshop", "0001_initial"), "older build: workshop 0001_initial"),
    ],
)
def test_a_book_of_another_build_takes_a_node_out(client, change, told):
    change(MigrationRecorder(connection))

    status, said, more = asked(client)

    assert (status, said) == (503, "not ok")
    assert told in more["migrations"]


def test_a_wrong_clock_is_told_and_takes_no_node_out(client, monkeypatch):
    monkeypatch.setattr(book, "CLOCKS_DIFFER", timedelta(minutes=5))
    stocked("500 g")
    an_hour_ago = timezone.now() - timedelta(hours=1)
    monkeypatch.setattr(timezone, "now", lambda: an_hour_ago)

    status, said, more = asked(client)

    assert (status, said) == (200, "ok")
    assert "Put the clock right" in more["clock"]


def test_the_clock_of_the_database_is_looked_at_too(monkeypatch):
    monkeypatch.setattr(book, "CLOCKS_DIFFER", timedelta(minutes=5))
    now = timezone.now()

    assert book.wrong_clock(now, others=now + timedelta(minutes=4)) == ""
    assert "that of the database" in book.wrong_clock(now, others=now - timedelta(minutes=6))


def test_a_backup_tells_its_age(client, monkeypatch):
    before = asked(client)[2]["backup"]
    monkeypatch.setattr(keeping, "standing", keeping.Standing(timezone.now() - timedelta(days=3.5), is_any=True))

    assert (before, asked(client)[2]["backup"]) == ("none seen yet", "the last one was made 3 days ago")
