from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory import book, integrity, ledger
from inventory.entries import Undeclared, every_line
from inventory.models import AppendOnly, Count, Entry, EntryKind, Movement
from inventory.refusals import NotEnoughStock, Refused
from tests.factories import PersonFactory, PlaceFactory, declared, entry, signed, stocked

pytestmark = pytest.mark.django_db


def use(jar, amount, at=1.0):
    with book.entry("used", f"used {amount} mg", signed(at)) as entry:
        ledger.use(jar, amount, entry=entry)
    return entry


def test_an_entry_knows_when_it_happened_and_when_it_was_written():
    before = timezone.now()

    with book.entry(declared("note"), "swept the floor", signed(0)) as entry:
        pass

    assert entry.happened_at < before <= entry.recorded_at


def test_the_book_refuses_the_future():
    tomorrow = book.Signed(done_by=PersonFactory(), happened_at=timezone.now() + timedelta(days=1))

    with pytest.raises(Refused, match="has not come yet"), book.entry(declared("note"), "note", tomorrow):
        pass

    assert not Entry.objects.exists()


def test_a_double_tap_writes_once():
    jar = stocked("500 g")
    by = signed(1, key=uuid4())
    with book.entry("used", "used", by) as entry:
        ledger.use(jar, 1_000, entry=entry)

    with pytest.raises(book.AlreadyWritten) as twice, book.entry("used", "used", by) as second:
        ledger.use(jar, 1_000, entry=second)

    jar.refresh_from_db()
    assert (twice.value.entry, jar.on_hand) == (entry, 499_000)


def test_a_refusal_leaves_no_entry_behind():
    jar = stocked("1 g")

    with pytest.raises(NotEnoughStock):
        use(jar, 2_000)

    assert not Entry.objects.filter(kind="used").exists()


def test_a_struck_entry_stays_readable_and_stops_counting():
    jar = stocked("500 g")
    entry = use(jar, 100_000)
    by = signed(2)

    book.strike(entry, by=by, reason="wrong jar")

    jar.refresh_from_db()
    entry.refresh_from_db()
    assert jar.on_hand == 500_000
    assert (entry.struck_by, entry.strike_reason) == (by.done_by, "wrong jar")
    assert entry.movements.get().amount == -100_000


def test_an_entry_is_struck_once():
    entry = use(stocked("500 g"), 1_000)
    book.strike(entry, by=signed(2), reason="wrong jar")

    with pytest.raises(Refused, match="Struck already"):
        book.strike(entry, by=signed(3), reason="again")


def test_a_strike_needs_a_reason():
    entry = use(stocked("500 g"), 1_000)

    with pytest.raises(Refused, match="Say why"):
        book.strike(entry, by=signed(2), reason="  ")


def test_a_strike_that_would_leave_less_than_nothing_names_what_is_in_the_way():
    jar = stocked("500 g")
    received = jar.movements.get().entry
    use(jar, 450_000)

    with pytest.raises(NotEnoughStock, match="used 450000 mg"):
        book.strike(received, by=signed(2), reason="never came")

    received.refresh_from_db()
    assert not received.is_struck


def test_a_strike_dated_before_a_count_keeps_the_counted_amount():
    jar = stocked("500 g")
    entry = use(jar, 100_000, at=1)
    with book.entry("counted", "counted", signed(2)) as counted:
        ledger.count(jar, 380_000, entry=counted)

    book.strike(entry, by=signed(3), reason="wrong jar")

    jar.refresh_from_db()
    assert jar.on_hand == 380_000
    assert jar.movements.standing().get(kind=Movement.Kind.KEPT).amount == -100_000
    assert not list(integrity.integrity_errors())


def test_without_a_struck_count_the_uses_before_it_count_again():
    jar = stocked("500 g")
    with book.entry("counted", "counted", signed(5)) as counted:
        ledger.count(jar, 470_000, entry=counted)
    use(jar, 30_000, at=3)

    book.strike(counted, by=signed(6), reason="another jar")

    jar.refresh_from_db()
    assert jar.on_hand == 470_000
    assert not list(integrity.integrity_errors())


def test_a_count_that_changed_nothing_is_struck_like_any_other():
    jar = stocked("500 g")
    with book.entry("counted", "counted", signed(5)) as counted:
        ledger.count(jar, 500_000, entry=counted)
    use(jar, 30_000, at=3)

    book.strike(counted, by=signed(6), reason="another jar")

    jar.refresh_from_db()
    assert jar.on_hand == 470_000


def test_a_struck_move_puts_the_container_back():
    jar = stocked("500 g")
    home, cabinet = jar.place, PlaceFactory()
    with book.entry("moved", "moved", signed(1)) as moved:
        ledger.move(jar, cabinet, entry=moved)

    book.strike(moved, by=signed(2), reason="wrong jar")

    jar.refresh_from_db()
    assert jar.place == home


def test_a_struck_move_leaves_a_container_that_moved_on_where_it_is():
    jar = stocked("500 g")
    cabinet, bench = PlaceFactory(), PlaceFactory()
    with book.entry("moved", "moved", signed(1)) as moved:
        ledger.move(jar, cabinet, entry=moved)
    with book.entry("moved", "moved on", signed(2)) as moved_on:
        ledger.move(jar, bench, entry=moved_on)

    book.strike(moved, by=signed(3), reason="wrong jar")

    jar.refresh_from_db()
    assert jar.place == bench


def test_with_both_moves_struck_a_container_stands_where_it_came_to():
    jar = stocked("500 g")
    home = jar.place
    with book.entry("moved", "moved", signed(1)) as moved:
        ledger.move(jar, PlaceFactory(), entry=moved)
    with book.entry("moved", "moved on", signed(2)) as moved_on:
        ledger.move(jar, PlaceFactory(), entry=moved_on)

    book.strike(moved, by=signed(3), reason="wrong jar")
    book.strike(moved_on, by=signed(3), reason="wrong jar")

    jar.refresh_from_db()
    assert jar.place == home


def test_entries_are_never_edited_or_deleted():
    entry = use(stocked("500 g"), 1_000)

    with pytest.raises(AppendOnly):
        entry.save()
    with pytest.raises(AppendOnly):
        entry.delete()
    with pytest.raises(AppendOnly):
        Entry.objects.update(note="nothing to see")


def test_a_kind_that_no_feature_declares_is_not_written():
    with pytest.raises(Undeclared, match="flew"), book.entry("flew", "flew away", signed(0)):
        pass

    assert not Entry.objects.exists()


def test_an_entry_holds_no_line_that_its_kind_does_not_declare():
    jar = stocked("500 g")

    with pytest.raises(Undeclared, match="holds no move"), book.entry("used", "used", signed(1)) as entry:
        ledger.move(jar, PlaceFactory(), entry=entry)

    assert not Entry.objects.filter(kind="used").exists()


def test_many_lines_at_once_are_held_to_the_kind_of_their_entry_too():
    jar = stocked("500 g")

    with pytest.raises(Undeclared, match="holds no count"), book.entry("used", "used", signed(1)) as entry:
        Count.objects.bulk_create([Count(entry=entry, container=jar, amount=1)])


def test_a_kind_is_declared_once():
    with pytest.raises(Undeclared, match="declared twice"):
        EntryKind("used")


def test_every_line_of_the_book_can_be_held_by_some_kind_of_entry():
    held = {line for kind in EntryKind.declared.values() for line in kind.lines}

    assert set(every_line()) == held


def test_the_queries_about_an_entry_do_not_grow_with_the_lines_that_other_kinds_hold(django_assert_num_queries):
    jar = stocked("500 g")
    used = use(jar, 1_000, 1)

    with django_assert_num_queries(1):
        assert [change.how for change in used.changes()] == ["−1 g, used"]


def test_a_clock_that_went_back_is_refused_and_not_believed(monkeypatch):
    entry()
    hour_ago = timezone.now() - timedelta(hours=1)
    monkeypatch.setattr(book, "CLOCKS_DIFFER", timedelta(minutes=5))
    monkeypatch.setattr(timezone, "now", lambda: hour_ago)

    with pytest.raises(Refused, match="Put the clock right"):
        entry()


def test_a_strike_is_noticed_whatever_the_clock_says(monkeypatch):
    first, second = entry(), entry()
    book.strike(first, by=signed(), reason="twice")
    before = Entry.objects.revision()
    hour_ago = timezone.now() - timedelta(hours=1)
    monkeypatch.setattr(timezone, "now", lambda: hour_ago)

    book.strike(second, by=signed(), reason="twice")

    assert Entry.objects.revision() != before
