"""Several people at one plate at the same moment; run on both databases by `.ci/run`."""

from functools import partial

import pytest

from inventory import book
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths.models import BathEvent
from studio.bites import integrity, operations
from studio.bites.models import Bite, BiteReading, BiteStop
from studio.bites.operations import Ending, Setting
from tests.at_once import at_once
from tests.factories import adopted, bitten, plate, signed, started

pytestmark = pytest.mark.django_db(transaction=True)

PEOPLE = 6


def everything_is_sound():
    return not list(integrity.integrity_errors()) and not list(estimate.unsound_baths())


def refused(ends):
    return [end for end in ends if isinstance(end, Refused)]


def test_a_bite_stopped_by_six_people_is_stopped_once():
    bite = started(adopted())
    acts = [partial(operations.stop, bite, by=signed(1.01), amps=1.2) for _ in range(PEOPLE)]

    ends = at_once(acts)

    assert len(refused(ends)) == PEOPLE - 1
    assert BiteStop.objects.count() == BathEvent.objects.filter(kind="Bitten").count() == 1
    assert everything_is_sound()


def test_readings_by_six_people_all_count_or_come_after_the_stop():
    bite = started(adopted())
    reads = [partial(operations.read, bite, amps=1 + n / 10, by=signed(1.001 + n / 1e4)) for n in range(PEOPLE)]

    ends = at_once([*reads, partial(operations.stop, bite, by=signed(1.01), amps=1.5)])

    written = [end for end in ends if not isinstance(end, Exception)]
    assert len(written) + len(refused(ends)) == PEOPLE + 1
    assert BiteReading.objects.count() == len(written)
    assert everything_is_sound()


def test_a_plate_is_hung_into_one_of_two_baths():
    harbour, baths = plate(), [adopted(), adopted()]
    acts = [partial(operations.start, bath, setting=Setting(plate=harbour), by=signed(1.01)) for bath in baths]

    ends = at_once(acts)

    assert len(refused(ends)) == 1 and Bite.objects.running().count() == 1


def test_bites_noted_and_struck_in_two_baths_do_not_wait_for_each_other():
    baths = [adopted(), adopted()]
    harbours = [plate(name=f"Plate {number}") for number in range(PEOPLE)]

    def bite_strike_and_move(number):
        for turn in range(2):
            here, there = baths[(number + turn) % 2], baths[(number + turn + 1) % 2]
            bite = bitten(here, at=2 + number / 10 + turn, plate=harbours[number])
            facts = {"setting": Setting(plate=harbours[number]), "ending": Ending(minutes=20, counted_ah=0.5)}
            operations.put_right(bite, reason="the other tank", bath=there, by=signed(2 + number / 10), **facts)
            if number % 2:
                book.strike(
                    Bite.objects.standing().filter(plate=harbours[number]).first().entry, by=signed(9), reason="x"
                )

    ends = at_once([partial(bite_strike_and_move, number) for number in range(PEOPLE)])

    assert ends == [None] * PEOPLE
    assert everything_is_sound()
