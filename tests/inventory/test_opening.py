"""When a container is opened, how long it keeps from then on, and what stands in a second one."""

from datetime import date

import pytest

from inventory import book, integrity, ledger
from inventory.models import Material, MonthSum
from inventory.refusals import NotEnoughStock, Refused
from tests.factories import MaterialFactory, PlaceFactory, day, declared, entry, signed, stocked

pytestmark = pytest.mark.django_db


def seen(jar):
    jar.refresh_from_db()
    return jar.opened_on, jar.use_by_on


def test_a_sealed_container_keeps_as_long_as_its_material_does():
    thinner = MaterialFactory(sealed_months=36)

    jar = ledger.receive(thinner, 1, entry=entry(0), place=PlaceFactory())

    assert jar.use_by_on == date(2029, 3, 2)


def test_an_opened_container_keeps_from_its_opening():
    jar = stocked("500 g", sealed_months=36, opened_months=12)

    ledger.open_it(jar, entry=entry(30))

    assert seen(jar) == (date(2026, 4, 1), date(2027, 4, 1))


def test_opening_makes_nothing_keep_longer_than_its_seal_said():
    jar = stocked("500 g", sealed_months=6, opened_months=12)

    ledger.open_it(jar, entry=entry(30))

    assert seen(jar) == (date(2026, 4, 1), date(2026, 9, 2))


def test_a_first_use_opens():
    jar = stocked("500 g", opened_months=12)

    ledger.use(jar, 1_000, entry=entry(1))

    assert seen(jar) == (date(2026, 3, 3), date(2027, 3, 3))


def test_nothing_is_opened_twice():
    jar = stocked("500 g")
    ledger.open_it(jar, entry=entry(1))

    with pytest.raises(Refused, match="open since 3 March 2026"):
        ledger.open_it(jar, entry=entry(2))


@pytest.mark.parametrize("act", ["open", "use"])
def test_a_struck_opening_leaves_the_seal_whole(act):
    jar = stocked("500 g", sealed_months=36, opened_months=12)
    with book.entry(declared(act), act, signed(1)) as opened:
        ledger.open_it(jar, entry=opened) if act == "open" else ledger.use(jar, 1_000, entry=opened)

    book.strike(opened, by=signed(2), reason="another jar")

    assert seen(jar) == (None, date(2029, 3, 2))


def test_a_jar_struck_open_but_used_since_stays_open():
    jar = stocked("500 g")
    opened = entry(1)
    ledger.open_it(jar, entry=opened)
    ledger.use(jar, 1_000, entry=entry(3))

    book.strike(opened, by=signed(4), reason="another jar")

    assert seen(jar)[0] == date(2026, 3, 5)


def test_a_second_container_takes_over_what_the_first_one_was():
    jar = stocked("500 g", opened_months=12)
    ledger.open_it(jar, entry=entry(1))
    bench = PlaceFactory()

    second = ledger.split(jar, 120_000, entry=entry(2), place=bench)

    jar.refresh_from_db()
    assert (jar.on_hand, second.on_hand, second.place) == (380_000, 120_000, bench)
    assert seen(second) == seen(jar)
    assert list(integrity.integrity_errors()) == []


def test_what_changes_its_jar_is_not_used():
    jar = stocked("500 g")

    ledger.split(jar, 120_000, entry=entry(2), place=jar.place)

    assert MonthSum.objects.consumed().count() == 0
    assert Material.objects.with_on_hand().get().on_hand == 500_000


def test_no_more_than_is_there_goes_into_another_container():
    jar = stocked("500 g")

    with pytest.raises(NotEnoughStock, match="Only 500 g"):
        ledger.split(jar, 501_000, entry=entry(2), place=jar.place)


def test_a_struck_split_puts_all_back():
    jar = stocked("500 g")
    with book.entry("split", "split", signed(1)) as written:
        second = ledger.split(jar, 120_000, entry=written, place=jar.place)

    book.strike(written, by=signed(2), reason="not done")

    jar.refresh_from_db()
    second.refresh_from_db()
    assert (jar.on_hand, second.on_hand) == (500_000, 0)
    assert list(integrity.integrity_errors()) == []


def split(jar, at):
    with book.entry("split", "split", signed(at)) as written:
        return written, ledger.split(jar, 120_000, entry=written, place=jar.place)


def test_decanting_opens_a_sealed_container_and_its_use_by_starts():
    jar = stocked("500 g", sealed_months=36, opened_months=12)

    _, second = split(jar, at=1)

    assert seen(jar) == seen(second)
    assert jar.state_on(day(1).date()) == "open"
    assert (jar.opened_on, jar.use_by_on) == (day(1).date(), date(2027, 3, 3))


def test_what_was_open_stays_open_since_then_when_it_is_decanted():
    jar = stocked("500 g", sealed_months=36, opened_months=12)
    ledger.open_it(jar, entry=entry(1))

    _, second = split(jar, at=5)

    assert seen(jar) == seen(second)
    assert jar.opened_on == day(1).date()


def test_a_decanting_dated_back_opens_both_on_its_own_day():
    jar = stocked("500 g", sealed_months=36, opened_months=12)
    ledger.open_it(jar, entry=entry(9))

    _, second = split(jar, at=2)

    assert seen(jar) == seen(second)
    assert jar.opened_on == day(2).date()


def test_a_second_decanting_changes_nothing_of_the_first():
    jar = stocked("500 g", sealed_months=36, opened_months=12)
    first, _ = split(jar, at=1)
    second, _ = split(jar, at=3)
    seen(jar)
    assert jar.opened_on == day(1).date()

    book.strike(first, by=signed(4), reason="not done")
    seen(jar)
    assert jar.opened_on == day(3).date()

    book.strike(second, by=signed(5), reason="not done")
    seen(jar)
    assert (jar.opened_on, jar.state_on(day(5).date())) == (None, "sealed")


def test_a_container_that_was_counted_since_is_open_by_its_decanting_too():
    jar = stocked("500 g", sealed_months=36, opened_months=12)
    with book.entry("counted", "counted", signed(5)) as counted:
        ledger.count(jar, 380_000, entry=counted)

    split(jar, at=2)

    seen(jar)
    assert (jar.opened_on, jar.on_hand) == (day(2).date(), 380_000)
    assert list(integrity.integrity_errors()) == []
