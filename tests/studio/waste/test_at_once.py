"""Two people at one drum at the same moment."""

import pytest

from chemistry.waste.drum import poured
from inventory.book import strike
from inventory.refusals import Refused
from studio.baths.models import BathEvent
from studio.waste import content, operations, sources
from studio.waste.models import Deposit, Drum
from studio.waste.operations import DepositRequest
from tests.at_once import at_once
from tests.factories import PersonFactory, PlaceFactory, WorkshopFactory, adopted, jug, signed
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db(transaction=True)


def test_two_people_cannot_fill_a_drum_past_its_stop():
    into, by = drum(capacity_l=10), PersonFactory()

    done = at_once([lambda: put(into, 6, by=signed(1, done_by=by))] * 2)

    assert sorted(isinstance(each, Refused) for each in done) == [False, True]
    assert content.content_of_drum(into).volume.value == pytest.approx(6)


def test_two_people_cannot_put_into_an_empty_drum_what_must_not_meet():
    into, by = drum("rinse"), PersonFactory()
    acts = [
        lambda: put(into, 1, by=signed(1, done_by=by)),
        lambda: put(into, 1, kind="cleaner_used", by=signed(1, done_by=by)),
    ]

    at_once(acts)

    assert set(Deposit.objects.values_list("kind", flat=True)) == {"rinse"}


def test_two_people_taking_out_of_one_bath_into_one_drum_lose_nothing():
    bath, into, by = adopted(), drum("bath_spent"), PersonFactory()

    def take_out():
        return sources.take_out(
            bath, jug(1), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1, done_by=by)
        )

    done = at_once([take_out] * 4)

    assert not [each for each in done if isinstance(each, Exception)]
    assert BathEvent.objects.filter(kind=BathEvent.Kind.REMOVED).count() == 4
    assert content.content_of_drum(into).volume.value == pytest.approx(4)


def test_two_people_cannot_pour_over_more_than_there_is():
    full, other, by = drum("rinse"), drum("rinse", name="W2"), PersonFactory()
    put(full, 5, at=1)

    def pour():
        into = DepositRequest(drum=other, kind="rinse", litres=poured(4))
        return operations.pour_over(full, into=into, by=signed(2, done_by=by))

    done = at_once([pour] * 2)

    assert sorted(isinstance(each, Refused) for each in done) == [False, True]
    assert content.content_of_drum(other).volume.value == pytest.approx(4)


def test_a_drum_is_not_struck_under_what_goes_into_it():
    into, by = drum(), PersonFactory()
    striking = signed(2, done_by=by)
    acts = [lambda: put(into, 1, by=signed(1, done_by=by)), lambda: strike(into.entry, by=striking, reason="a slip")]

    at_once(acts)

    into.entry.refresh_from_db()
    assert into.entry.is_struck != Deposit.objects.standing().exists()


def test_one_name_is_given_to_one_drum():
    WorkshopFactory()
    place, by = PlaceFactory(), PersonFactory()

    at_once([lambda: drum(name="W7", place=place, by=signed(done_by=by))] * 2)

    assert Drum.objects.standing().filter(name="W7").count() == 1
