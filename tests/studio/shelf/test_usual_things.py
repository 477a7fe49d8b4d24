"""A shelf in five minutes: what such a studio has is ticked on one page, with its amount, and written in one go."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import usual
from inventory.book import strike
from inventory.models import Container, Entry, Material, Place
from studio.workshop import operations
from studio.workshop.models import Workshop
from tests.factories import MaterialFactory, PlaceFactory, signed

pytestmark = pytest.mark.django_db

PAGE = reverse("shelf:usual_things")
THINGS = [thing for things in usual.things_by_kind().values() for thing in things]


def at(name):
    return next(number for number, thing in enumerate(THINGS) if thing.name == name)


def sent(client, *, ticked=(), key=None, **amounts):
    said = {f"tick-{at(name)}": "on" for name in ticked}
    said |= {f"amount-{at(name)}_0": amount for name, amount in amounts.items()}
    return client.post(PAGE, said | {"place": Place.objects.get().pk, "key": key or uuid4()}, follow=True)


def test_what_is_ticked_is_on_the_shelf_in_one_entry_each_under_its_kind(keyholder):
    PlaceFactory(name="Rack")
    key = uuid4()
    for _ in range(2):
        sent(keyholder, Turpentine="750", Acetone="1 L", Tarlatan="5", ticked=["Goggles"], key=key)

    assert [str(entry) for entry in Entry.objects.all()] == ["Brought in 3 containers from the usual things"]
    found = {str(jar.material): jar.shown_on_hand() for jar in Container.objects.select_related("material")}
    assert found == {"Turpentine": "750 mL", "Acetone": "1000 mL", "Tarlatan": "5 m"}
    assert Material.objects.get(name="Goggles").category == "Gloves, eyes and lungs"


def test_a_bath_salt_is_the_salt_that_was_ticked(keyholder):
    PlaceFactory()
    said = {f"amount-{at('Copper sulfate, pale powder')}_0": "2 kg", "place": Place.objects.get().pk, "key": uuid4()}

    keyholder.post(PAGE, said)

    assert Material.objects.get().bath_use == "copper_sulfate_anhydrous"


def test_every_usual_thing_can_be_ticked_in_every_region(keyholder):
    place = PlaceFactory()
    for region in Workshop.Region.values:
        if Workshop.objects.get().region != region:
            operations.change(Workshop.objects.get(), region=region, by=signed(done_by=keyholder.person))
        said = {f"amount-{number}_0": "3" for number in range(len(THINGS))}
        said |= {
            f"amount-{number}": "12x18 in" if thing.dimension == "area" else "3"
            for number, thing in enumerate(THINGS)
            if thing.dimension in ("area", "count")
        }
        entry = keyholder.post(PAGE, said | {"place": place.pk, "key": uuid4()}, follow=True)

        assert "Written:" in entry.content.decode(), region
        assert Container.objects.on_the_shelf().count() == len(THINGS), region
        strike(Entry.objects.filter(kind="brought in").latest("pk"), by=signed(), reason="next")
    assert not Material.objects.listed().exists()


def test_what_is_known_already_is_measured_as_it_is_known(keyholder):
    PlaceFactory()
    MaterialFactory(name="Turpentine", dimension="mass", shown_unit="kg")

    sent(keyholder, Turpentine="2")

    assert Container.objects.get().shown_on_hand() == "2 kg"


@pytest.mark.parametrize(("said", "words"), [({}, "Nothing is ticked"), ({"Turpentine": "some"}, "is not an amount")])
def test_what_cannot_be_written_is_said_and_nothing_typed_is_lost(keyholder, said, words):
    PlaceFactory()

    shown = sent(keyholder, **said).content.decode()

    assert words in shown
    assert all(f'value="{typed}"' in shown for typed in said.values())
    assert not Entry.objects.exists()


def test_a_studio_without_a_place_is_led_to_its_first(keyholder):
    for page in (PAGE, reverse("shelf:import_file")):
        assert "There is no place yet" in keyholder.get(page).content.decode()
