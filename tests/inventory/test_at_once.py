"""Eight people write at the same moment; run on both databases by `.ci/run`."""

from functools import partial
from uuid import uuid4

import pytest

from inventory import book, integrity, ledger
from inventory.book import AlreadyWritten
from inventory.models import Entry
from inventory.refusals import NotEnoughStock
from tests.at_once import at_once
from tests.factories import PersonFactory, PlaceFactory, signed, stocked

pytestmark = pytest.mark.django_db(transaction=True)

PEOPLE = 8


def use(jar, amount, by):
    with book.entry("used", "used", by) as entry:
        ledger.use(jar, amount, entry=entry)
    return entry


def test_eight_people_lose_nothing_out_of_one_jar():
    jar = stocked("500 g")
    by = signed(1)

    def take_ten():
        return [use(jar, 1_000, by) for _ in range(10)]

    written = at_once([take_ten] * PEOPLE)

    jar.refresh_from_db()
    assert [len(entries) for entries in written] == [10] * PEOPLE
    assert jar.on_hand == 420_000
    assert list(integrity.integrity_errors()) == []


def test_of_two_people_who_take_the_last_100_g_one_is_told_there_is_none():
    jar = stocked("100 g")
    by = signed(1)

    ends = at_once([partial(use, jar, 100_000, by)] * 2)

    jar.refresh_from_db()
    refused = [end for end in ends if isinstance(end, NotEnoughStock)]
    assert [refusal.message for refusal in refused] == [f"Only 0 g in {jar.code} {jar.material}."]
    assert Entry.objects.filter(kind="used").count() == 1
    assert jar.on_hand == 0


def test_a_double_tap_on_two_threads_writes_once():
    jar = stocked("500 g")
    by = signed(1, key=uuid4())

    ends = at_once([partial(use, jar, 1_000, by)] * PEOPLE)

    jar.refresh_from_db()
    (written,) = [end for end in ends if isinstance(end, Entry)]
    assert [end.entry for end in ends if isinstance(end, AlreadyWritten)] == [written] * (PEOPLE - 1)
    assert jar.on_hand == 499_000


def test_one_line_struck_by_eight_people_is_struck_once():
    jar = stocked("500 g")
    entry = use(jar, 1_000, signed(1))
    by = signed(2)

    ends = at_once([partial(book.strike, entry, by=by, reason="wrong jar")] * PEOPLE)

    jar.refresh_from_db()
    assert [end for end in ends if isinstance(end, Entry)] == [entry]
    assert jar.on_hand == 500_000


def test_a_shelf_used_counted_moved_and_struck_all_at_once_stays_sound():
    jars, places = [stocked("500 g") for _ in range(3)], PlaceFactory.create_batch(2)
    by = [signed(day, done_by=PersonFactory()) for day in range(1, 5)]

    def count(jar, by):
        with book.entry("counted", "counted", by) as entry:
            ledger.count(jar, 400_000, entry=entry)

    def carry(jar, by):
        with book.entry("moved", "moved", by) as entry:
            for place in places:
                ledger.move(jar, place, entry=entry)

    def use_and_strike(jar, by):
        book.strike(use(jar, 2_000, by), by=by, reason="wrong jar")

    def evening(first):
        for turn in range(4):
            jar, at = jars[(first + turn) % 3], by[(first * turn) % 4]
            use(jar, 1_000, at)
            use_and_strike(jar, at)
            count(jar, at) if first % 2 else carry(jar, at)

    ends = at_once([partial(evening, number) for number in range(PEOPLE)])

    assert ends == [None] * PEOPLE
    assert list(integrity.integrity_errors()) == []
