"""The months are added up beside the movements, and never differ from them."""

import pytest

from inventory import book, integrity, ledger, months
from inventory.models import MonthSum, Movement
from tests.factories import PersonFactory, day, entry, signed, stocked

pytestmark = pytest.mark.django_db

MARCH, APRIL = months.month_of(day(0)), months.month_of(day(31))


def used(jar, grams, at, **by):
    with book.entry("used", "used", signed(at, **by)) as written:
        ledger.use(jar, grams * 1_000, entry=written)
    return written


def sums(kind=Movement.Kind.USED):
    return {(line.month, line.person): (line.amount, line.lines) for line in MonthSum.objects.filter(kind=kind)}


def test_a_month_adds_up_what_a_person_used():
    jar, nell, tobi = stocked("500 g"), PersonFactory(), PersonFactory()

    used(jar, 20, at=1, done_by=nell)
    used(jar, 30, at=2, done_by=nell)
    used(jar, 5, at=3, done_by=tobi)
    used(jar, 7, at=31, done_by=nell)

    assert sums() == {(MARCH, nell): (-50_000, 2), (MARCH, tobi): (-5_000, 1), (APRIL, nell): (-7_000, 1)}


def test_a_struck_use_leaves_its_month():
    jar, nell = stocked("500 g"), PersonFactory()
    used(jar, 20, at=1, done_by=nell)
    slip = used(jar, 30, at=2, done_by=nell)

    book.strike(slip, by=signed(40), reason="twice")

    assert sums() == {(MARCH, nell): (-20_000, 1)}
    assert list(integrity.integrity_errors()) == []


def test_what_a_count_already_knew_is_consumed_once():
    jar = stocked("500 g")
    ledger.count(jar, 470_000, entry=entry(10))

    used(jar, 30, at=5)

    assert sum(line.amount for line in MonthSum.objects.consumed()) == -30_000


def test_a_month_that_was_changed_behind_the_ledger_is_found():
    jar = stocked("500 g")
    used(jar, 20, at=1)
    MonthSum.objects.filter(kind=Movement.Kind.USED).update(amount=-1_000)

    (fault,) = integrity.integrity_errors()

    assert "March 2026 is kept as −1 g used" in fault
    assert fault.endswith("its movements add up to −20 g")


def test_a_month_that_was_lost_is_found():
    stocked("500 g")
    MonthSum.objects.all().delete()

    assert "its movements add up to 500 g" in "".join(integrity.integrity_errors())


@pytest.mark.parametrize(("since", "until"), [(-40, 200), (1, 2), (0.5, 45), (29, 61), (29.625, 60.625), (70, 3)])
def test_between_two_moments_months_and_days_come_to_what_each_movement_does(since, until):
    jar, other = stocked("900 g"), stocked("900 g")
    for at in (1, 2, 29.625, 30, 31, 60.624, 61, 90):  # 29.625 and 60.625 are midnights of the first of a month
        used(jar, 10, at=at)
        used(other, 10, at=at)
    book.strike(used(jar, 90, at=40), by=signed(95), reason="twice")

    found = months.between([jar.material_id], day(since), day(until))

    each = Movement.objects.standing().filter(container=jar, happened_at__range=(day(since), day(until)))
    assert sum(found.values()) == sum(each.values_list("amount", flat=True))
    assert {material for material, _ in found} <= {jar.material_id}
