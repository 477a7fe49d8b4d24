"""What was changed behind the book's back is found and named."""

import sqlite3
from contextlib import closing
from unittest.mock import patch

import pytest
from django.db import connection

from inventory import book, integrity, ledger
from inventory.models import Container
from tests.factories import PlaceFactory, entry, signed, stocked

pytestmark = pytest.mark.django_db


def tamper(statement, *values):
    """Change a row as nobody can through the book."""
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


def test_a_shelf_in_use_is_sound():
    jar = stocked("500 g")
    ledger.count(jar, 490_000, entry=entry(4))
    ledger.use(jar, 1_000, entry=entry(1))
    ledger.move(jar, PlaceFactory(), entry=entry(2))

    assert list(integrity.integrity_errors()) == []


def test_a_struck_use_no_longer_adds_up():
    jar = stocked("500 g")
    with book.entry("used", "used", signed(1)) as used:
        ledger.use(jar, 1_000, entry=used)

    book.strike(used, by=signed(2), reason="twice")

    assert list(integrity.integrity_errors()) == []


def test_a_running_sum_changed_behind_the_ledger_is_found():
    jar = stocked("500 g")
    Container.objects.filter(pk=jar.pk).update(on_hand=1_000)

    faults = list(integrity.integrity_errors())

    assert faults[0] == f"{jar} holds 1 g, its movements add up to 500 g"


def test_a_changed_movement_is_found():
    jar = stocked("500 g")
    tamper("UPDATE inventory_movement SET amount = 400000")

    assert f"{jar} holds 500 g, its movements add up to 400 g" in integrity.integrity_errors()


def test_a_count_that_no_longer_says_what_it_said_is_found():
    jar = stocked("500 g")
    ledger.count(jar, 490_000, entry=entry(1))
    tamper("UPDATE inventory_count SET amount = 480000")

    faults = list(integrity.integrity_errors())

    assert faults == [f"{jar} holds 490 g, by its last count and what came and went since it is 480 g"]


def test_a_container_put_elsewhere_is_found():
    jar, elsewhere = stocked("500 g"), PlaceFactory()
    home = jar.place
    ledger.move(jar, PlaceFactory(), entry=entry(1))
    ledger.move(jar, home, entry=entry(2))
    Container.objects.filter(pk=jar.pk).update(place=elsewhere)

    assert list(integrity.integrity_errors()) == [f"{jar} stands in {elsewhere}, its last move left it in {home}"]


def test_a_movement_carried_to_another_day_is_found():
    movement = stocked("500 g").movements.get()
    tamper("UPDATE inventory_movement SET happened_at = %s", entry(3).happened_at)

    faults = list(integrity.integrity_errors())

    assert faults == [f"movement {movement.pk} of {movement.container} has another date than its entry"]


def test_an_entry_struck_in_secret_is_found():
    jar = stocked("500 g")
    with book.entry("used", "used", signed(1)) as used:
        ledger.use(jar, 1_000, entry=used)
    struck = "struck_at = recorded_at, struck_by_id = done_by_id, strike_reason = 'x'"
    tamper(f"UPDATE inventory_entry SET {struck} WHERE id = %s", used.pk)

    assert f"{jar} holds 499 g, its movements add up to 500 g" in integrity.integrity_errors()


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL does not let a row lose what it points at")
def test_a_movement_without_its_container_is_found():
    jar = stocked("500 g")
    connection.cursor().execute("PRAGMA defer_foreign_keys = ON")
    tamper("DELETE FROM inventory_container")

    stray, month = integrity.integrity_errors()

    assert "inventory_movement" in stray and str(jar.pk) in stray
    assert month.endswith("its movements add up to 0 g")
    connection.set_rollback(True)


@pytest.mark.parametrize("rows_at_once", [1, 2])
def test_a_long_shelf_is_looked_at_in_steps(monkeypatch, rows_at_once):
    monkeypatch.setattr(integrity, "ROWS_AT_ONCE", rows_at_once)
    monkeypatch.setattr(integrity, "KEYS_AT_ONCE", rows_at_once)
    jars = [stocked("500 g") for _ in range(5)]
    tamper("UPDATE inventory_movement SET amount = 400000, happened_at = %s", entry(3).happened_at)

    faults = list(integrity.integrity_errors())

    assert len(faults) == 4 * len(jars)


def test_a_book_that_may_only_be_read_is_looked_over(django_db_blocker):
    stocked("500 g")
    readonly = {"sqlite": "PRAGMA query_only = ON", "postgresql": "SET TRANSACTION READ ONLY"}[connection.vendor]
    connection.check_constraints()  # what was just written is looked at while it may be
    with connection.cursor() as cursor:
        cursor.execute(readonly)
    try:
        assert list(integrity.integrity_errors()) == []
    finally:
        if connection.vendor == "sqlite":
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA query_only = OFF")


@pytest.mark.skipif("connection.vendor != 'sqlite'", reason="a file's own check")
def test_a_damaged_file_is_named_by_the_databases_own_check(tmp_path):
    healthy = tmp_path / "book.sqlite3"
    with closing(sqlite3.connect(healthy)) as file:
        file.executescript("CREATE TABLE jar (name TEXT); CREATE INDEX by_name ON jar (name);")
        file.executemany("INSERT INTO jar VALUES (?)", [(f"jar {number}",) for number in range(2000)])
        file.commit()
    whole = bytearray(healthy.read_bytes())
    at = whole.rindex(b"jar 1999")
    whole[at : at + 8] = b"jar 0000"
    healthy.write_bytes(whole)

    with closing(sqlite3.connect(healthy)) as file, patch.object(connection, "connection", file):
        assert [fault[:20] for fault in integrity.damage()][:1] == ["the file is damaged:"]
