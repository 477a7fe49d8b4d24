"""A drum is moved, and what it weighs empty is learnt later: facts that keep what they were."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import facts
from inventory.book import strike
from inventory.refusals import Refused
from studio.safety.places import drums_then, stored_drums
from studio.waste import operations
from studio.waste.models import Drum, DrumWeighing
from tests.factories import PlaceFactory, day, signed
from tests.studio.waste.shop import drum, handed_over, put

pytestmark = pytest.mark.django_db


def places_at(at=None):
    return {stored.name: str(place) for place, stored in stored_drums(drums_then(at), "EU", at)}


def test_a_drum_that_was_moved_stands_there_now_and_stood_elsewhere_then():
    vessel = drum(place=PlaceFactory(name="Tray"))
    put(vessel, 3)

    entry = operations.move(vessel, place=PlaceFactory(name="Shed"), by=signed(3))

    assert str(entry) == "Moved W1 to Shed"
    assert places_at() == {"drum W1": "Shed"}
    assert places_at(day(2)) == {"drum W1": "Tray"}
    assert str(facts.history(vessel).steps[0]) == "Place: Tray → Shed"
    strike(entry, by=signed(4), reason="it was another one")
    assert places_at() == {"drum W1": "Tray"}


def test_an_empty_weight_learnt_later_tells_what_every_weighing_held():
    vessel = drum()
    put(vessel, 3)
    operations.weigh(vessel, gross_g=4500, half_width_g=50, by=signed(2))
    assert DrumWeighing.objects.get().net is None

    entry = operations.weigh_empty(vessel, tare_g=1200, by=signed(5))

    assert str(entry) == "W1 weighs 1.2 kg empty"
    assert DrumWeighing.objects.get().net.value == pytest.approx(3300)
    assert facts.history(Drum.objects.get()).steps[0].old == "not written down"
    strike(entry, by=signed(6), reason="another drum")
    assert DrumWeighing.objects.get().net is None


def test_what_does_not_fit_is_refused():
    vessel, gone = drum(), drum(name="W2")
    put(vessel, 3)
    put(gone, 3)
    operations.weigh(vessel, gross_g=4500, half_width_g=50, by=signed(2))
    handed_over(gone)
    refusals = [
        (vessel, operations.weigh_empty, {"tare_g": 4600}, 3, "On 4 March 2026 it weighed less"),
        (vessel, operations.move, {"place": vessel.place}, 3, "Nothing is different"),
        (vessel, operations.move, {"place": PlaceFactory()}, -1, "was set up later"),
        (gone, operations.move, {"place": PlaceFactory()}, 9, "has left"),
        (gone, operations.weigh_empty, {"tare_g": 1000}, 9, "has left"),
    ]

    for which, act, said, at, sentence in refusals:
        with pytest.raises(Refused, match=sentence):
            act(which, **said, by=signed(at))

    operations.weigh_empty(vessel, tare_g=4540, by=signed(4))  # within what the scale is good to


def test_its_page_moves_it_and_tells_of_it(member):
    vessel, shed = drum(place=PlaceFactory(name="Tray")), PlaceFactory(name="Shed")
    address = reverse("waste:move", args=[vessel.pk])
    assert member.get(address).context["form"]["place"].value() == vessel.place_id

    answer = member.post(address, {"key": uuid4(), "place": shed.pk})

    page = member.get(answer.headers["Location"]).content.decode()
    assert "Tray" in page and "Shed" in page and "1 change" in page
