from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.bath import Adopted
from inventory.models import Entry, Place
from inventory.refusals import Refused
from studio.baths import estimate, operations
from studio.baths.models import Bath
from tests.factories import BathFactory, PlaceFactory, day, signed

pytestmark = pytest.mark.django_db


def tank(**figures):
    known = {"name": "Upright tank", "rim_l": 13, "fill_l": 12, "surface_cm2": 400}
    return Bath(**{"place": Place(name="Back room", kind=Place.Kind.TANK), **known, **figures})


def adopt(bath, **figures):
    known = {"volume_l": 12, "volume_sd_l": 0.1, "strength_g_per_l": 240, "strength_sd_g_per_l": 5}
    adopted = Adopted(day=0, **known | {name: figures.pop(name) for name in known if name in figures})
    return operations.adopt(bath, adopted, by=signed(0), **{"lid_on": True} | figures)


def test_a_tank_and_the_bath_in_it_come_into_the_book_in_one_entry():
    bath = tank(marks=[(10, 4.1), (30, 12.1)])

    adopt(bath)

    assert Entry.objects.count() == 1
    assert estimate.at_moment(bath, day(1)).volume_l == pytest.approx(12)
    assert bath.shown_fact("marks", bath.marks) == "10 cm is 4.1 L, 30 cm is 12.1 L"
    assert bath.place.name == "Back room"


@pytest.mark.parametrize(
    ("figures", "marks", "field", "sentence"),
    [
        ({"fill_l": 14}, [], "fill_l", "runs over at 13 L"),
        ({"range_low_g_per_l": 260, "range_high_g_per_l": 200}, [], "range_high_g_per_l", "ends above where it begins"),
        ({"coldest_c": 20, "air_c": 18}, [], "coldest_c", "below its usual temperature"),
        ({}, [(10, 4), (10, 5)], "marks", "Two marks stand at 10 cm"),
        ({}, [(10, 4), (20, 3)], "marks", "no more than the one at 10 cm"),
        ({}, [(10, 4), (40, 16)], "marks", "the tank holds 13 L"),
    ],
)
def test_figures_that_cannot_be_true_of_one_tank_are_refused_and_nothing_is_written(figures, marks, field, sentence):
    with pytest.raises(Refused, match=sentence) as refused:
        operations.set_up(tank(**figures, marks=marks), by=signed(0))

    assert refused.value.field == field
    assert not Bath.objects.exists() and not Place.objects.exists() and not Entry.objects.exists()


def test_two_tanks_of_one_name_are_refused_however_it_is_capitalised():
    BathFactory(name="Upright tank")

    with pytest.raises(Refused, match="a tank called UPRIGHT TANK already"):
        operations.set_up(tank(name="UPRIGHT TANK", place=PlaceFactory()), by=signed(0))


def test_marks_measured_again_take_the_place_of_the_old_ones():
    bath = tank(marks=[(10, 4.1)])
    operations.set_up(bath, by=signed(0))

    bath.marks = [(10, 4.2), (20, 8.3)]
    operations.change(bath, by=signed(1))

    bath.refresh_from_db()
    assert bath.marks == [[10, 4.2], [20, 8.3]]


def test_a_tank_without_marks_is_asked_for_its_surface_and_says_so(keyholder):
    page = reverse("baths:set_up")
    tank = {"key": uuid4(), "name": "New tank", "new_place": "Etching room", "rim_l_0": "12", "rim_l_1": "L"}
    usual = {"range_low_g_per_l": "200", "range_high_g_per_l": "260", "coldest_c": "12", "air_c": "18"}
    form = keyholder.get(page).context["form"]

    assert form.fields["surface_cm2"].required and not form.fields["marks"].required
    wanted = [
        # surface, marks, whether it is refused beside the surface
        ("", "", True),
        ("", "10 = 4.1", True),
        ("", "10 = 4.1\n20 = 8.1", False),
        ("400 cm2", "", False),
        ("20 x 20 cm", "10 = 4.1", False),
    ]
    for number, (surface, marks, is_refused) in enumerate(wanted):
        typed = tank | usual | {"surface_cm2": surface, "marks": marks, "relative_humidity_percent": "55"}
        answer = keyholder.post(page, typed | {"key": uuid4(), "name": f"New tank {number}"})

        said = answer.context["form"].errors.get("surface_cm2", []) if answer.status_code == 200 else []
        assert said == (["Give the surface, or two marks that tell it."] if is_refused else []), (surface, marks)
        assert (answer.status_code == 302) == (not is_refused), (surface, marks, said)
