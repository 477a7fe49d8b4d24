from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory import book
from studio.bites import integrity, operations
from studio.bites.models import BiteStop
from tests.factories import adopted, bitten, day, plate, signed, started

pytestmark = pytest.mark.django_db

MINUTE = 1 / 1440


def changed_behind_the_book(table, values, row):
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET {values} WHERE id = %s", [row.pk])


@pytest.fixture
def shop():
    """A bite written down whole, one from its start to its stop with a power cut, one struck, one that runs."""
    bath, harbour = adopted(name="Upright tank"), plate()
    whole = bitten(bath, at=1, plate=harbour)
    staged = started(bath, at=2, plate=harbour)
    operations.read(staged, amps=1.2, by=signed(2 + MINUTE))
    cut = {"off_at": day(2 + 5 * MINUTE), "back_at": day(2 + 9 * MINUTE)}
    operations.stop(staged, by=signed(2 + 20 * MINUTE), **cut)
    book.strike(bitten(bath, at=3).entry, by=signed(4), reason="slip")
    unread = started(bath, at=5)
    operations.stop(unread, by=signed(5 + 9 * MINUTE))
    started(bath, at=6)
    return whole, staged


def test_bites_in_use_are_sound(shop):
    assert list(integrity.integrity_errors()) == []

    call_command("verify", stdout=StringIO())


def test_a_charge_changed_behind_the_book_is_named(shop):
    changed_behind_the_book("bites_bitestop", "charge_ah = 9", BiteStop.objects.first())

    with pytest.raises(CommandError, match="bite of Harbour in Upright tank is kept with 9.000 A·h, its readings make"):
        call_command("verify", stdout=StringIO())


def test_a_log_that_has_another_charge_is_named(shop):
    event = shop[0].entry.bath_events.get(kind="Bitten")
    changed_behind_the_book("baths_bathevent", """"values" = '{"charge_ah": 2.5}'""", event)

    assert any("the log of Upright tank has 2.500 A·h" in fault for fault in integrity.integrity_errors())


def test_what_is_left_of_a_struck_start_is_named(shop):
    struck = "struck_at = happened_at, struck_by_id = done_by_id, strike_reason = 'by hand'"
    changed_behind_the_book("inventory_entry", struck, shop[1].entry)

    found = list(integrity.integrity_errors())

    assert any("a stop stands of the bite of Harbour" in fault for fault in found)
    assert any("a reading stands of the bite of Harbour" in fault for fault in found)


def test_a_bite_without_its_plate_is_named(shop):
    struck = "struck_at = happened_at, struck_by_id = done_by_id, strike_reason = 'by hand'"
    changed_behind_the_book("inventory_entry", struck, shop[0].plate.entry)

    assert any("its plate was struck" in fault for fault in integrity.integrity_errors())
