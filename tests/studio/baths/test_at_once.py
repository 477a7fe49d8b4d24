"""Several people at one tank at the same moment; run on both databases by `.ci/run`."""

from functools import partial

import pytest

from chemistry.bath import Removed
from inventory import book, integrity
from studio.baths import estimate, operations
from studio.baths.models import Bath
from studio.baths.salt import Portion
from studio.shelf import operations as shelf
from tests.at_once import at_once
from tests.factories import PersonFactory, adopted, day, signed, stocked

pytestmark = pytest.mark.django_db(transaction=True)

PEOPLE = 8


def everything_is_sound():
    return not list(integrity.integrity_errors()) and not list(estimate.unsound_baths())


def test_top_ups_of_one_bath_by_eight_people_all_count():
    tank = adopted(volume_l=11)

    def top_up_thrice(number):
        for turn in range(3):
            operations.top_up(Bath.objects.get(pk=tank.pk), water_l=0.02, by=signed(1 + number / 10 + turn))

    ends = at_once([partial(top_up_thrice, number) for number in range(PEOPLE)])

    tank.refresh_from_db()
    assert ends == [None] * PEOPLE
    assert estimate.at_moment(tank, day(9)).volume_l == pytest.approx(11 + PEOPLE * 3 * 0.02, abs=0.01)
    assert tank.revision == 1 + PEOPLE * 3
    assert everything_is_sound()


def test_two_tanks_topped_up_and_struck_out_of_the_same_jars_do_not_wait_for_each_other():
    tanks = [adopted(volume_l=11, strength_g_per_l=200), adopted(volume_l=11, strength_g_per_l=200)]
    water, crystals = stocked("20 L", water=True), stocked("4 kg", crystals=True)
    more_crystals, more_water = another(crystals), another(water)  # the other way round
    pairs = [(water, crystals), (more_water, more_crystals)]
    person = PersonFactory()

    def top_up_and_strike(number):
        by = signed(1 + number / 10, done_by=person)
        for turn in range(3):
            tank = Bath.objects.get(pk=tanks[(number + turn) % 2].pk)
            vessel, jar = pairs[turn % 2]
            salt = [Portion(jar, 10_000)]
            entry = operations.top_up(
                tank, water_l=0.01, water_from=vessel, salt=salt, salt_anyway="it looked weak", by=by
            )
            if number % 2:
                book.strike(entry, by=by, reason="the other tank")

    ends = at_once([partial(top_up_and_strike, number) for number in range(PEOPLE)])

    crystals.refresh_from_db()
    more_crystals.refresh_from_db()
    assert ends == [None] * PEOPLE
    assert crystals.on_hand + more_crystals.on_hand == 8_000_000 - 10_000 * 3 * PEOPLE // 2
    assert everything_is_sound()


def another(container):
    """A second container with as much of the same."""
    received = shelf.receive(container.material, amount=container.on_hand, place=container.place, by=signed())
    return received.movements.get().container


def test_baths_poured_to_and_fro_late_and_struck_do_not_wait_for_each_other():
    """Whoever writes of one that was poured into others holds those too."""
    tanks = [adopted(volume_l=11), adopted(volume_l=11), adopted(volume_l=11)]
    person = PersonFactory()

    def pour_and_strike(number):
        for turn in range(3):
            first, second = (Bath.objects.get(pk=tanks[(number + step * (1 + number % 2)) % 3].pk) for step in (0, 1))
            by = signed(1 + (7 * number + turn) % 11, done_by=person)
            entry = operations.pour_into(first, Removed(day=0, litres=0.1), into=second, by=by)
            operations.top_up(first, water_l=0.01, by=signed(1 + turn, done_by=person))
            if number % 2:
                book.strike(entry, by=by, reason="the other tank")

    ends = at_once([partial(pour_and_strike, number) for number in range(PEOPLE)])

    assert ends == [None] * PEOPLE
    assert everything_is_sound()
