import threading
import time

import pytest
from django.db import connection, transaction

from inventory import book
from inventory.models import Entry
from tests.at_once import at_once
from tests.factories import entry, signed

pytestmark = pytest.mark.django_db


def test_an_unwritten_book_has_a_mark():
    assert Entry.objects.revision() == Entry.objects.revision()


def test_every_entry_moves_the_mark():
    before = Entry.objects.revision()

    entry()

    assert Entry.objects.revision() != before


def test_every_strike_moves_the_mark():
    first, second = entry(0), entry(1)
    before = Entry.objects.revision()

    book.strike(first, by=signed(2), reason="twice")
    between = Entry.objects.revision()
    book.strike(second, by=signed(3), reason="twice")

    assert len({before, between, Entry.objects.revision()}) == 3


def test_an_entry_that_ends_after_a_later_one_moves_the_mark():
    slow, quick = entry(0), entry(1)
    with_both = Entry.objects.revision()

    type(slow)._base_manager.filter(pk=slow.pk)._raw_delete("default")  # as others see it before it ends

    assert Entry.objects.revision() != with_both
    assert Entry.objects.revision()[0] == quick.pk


@pytest.mark.skipif("connection.vendor != 'postgresql'", reason="on SQLite a transaction holds all others")
@pytest.mark.django_db(transaction=True)
def test_strikes_end_in_the_order_of_their_moments():
    first, second, struck, ended = entry(0), entry(1), threading.Event(), []

    def slow():
        with transaction.atomic():
            book.strike(first, by=signed(2), reason="twice")
            struck.set()
            time.sleep(0.3)
        ended.append(first.pk)

    def quick():
        struck.wait()
        book.strike(second, by=signed(2), reason="twice")
        ended.append(second.pk)

    assert at_once([slow, quick]) == [None, None]
    in_order = Entry.objects.exclude(struck_at=None).order_by("struck_at").values_list("pk", flat=True)
    assert ended == list(in_order) == [first.pk, second.pk]


@pytest.mark.skipif("connection.vendor != 'postgresql'", reason="a book on SQLite is shut while it is restored")
def test_a_restored_book_has_another_mark_though_its_lines_are_the_same():
    entry()
    before = Entry.objects.revision()

    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("CREATE TABLE anew AS SELECT * FROM inventory_entry")
        cursor.execute("DROP TABLE inventory_entry CASCADE")
        cursor.execute("ALTER TABLE anew RENAME TO inventory_entry")

    assert Entry.objects.revision() != before
    assert Entry.objects.revision()[:3] == before[:3]
