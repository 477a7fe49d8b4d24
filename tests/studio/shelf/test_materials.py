"""What is known of a material: typed in words, kept in numbers, shown again."""

from dataclasses import asdict
from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Material
from studio.shelf import operations
from studio.shelf.composition import read
from tests.factories import MaterialFactory, signed, stocked

NEW = reverse("shelf:new_material")
THINNER = {
    "name": "Lacquer thinner",
    "category": "Solvents and thinners",
    "shown_unit": "mL",
    "bath_use": "none",
    "reorder_level": "500 mL",
    "order_up_to": "2 L",
    "lead_time_days": "10",
    "sealed_months": "36",
    "opened_months": "12",
    "density": "0.85 to 0.89",
    "storage_group": "flammable",
    "flash_point_c": "-4",
    "composition": "Acetone 20-30 %\nHouse blend: 40",
    "thickness": "",
}
SHEET = THINNER | {"shown_unit": "cm2", "density": "", "thickness": "18 ga B&S", "reorder_level": "", "order_up_to": ""}


def posted(client, address, **typed):
    return client.post(address, {"key": uuid4(), **typed})


def test_all_that_is_known_of_a_material_is_kept(member):
    posted(member, NEW, **THINNER)

    thinner = Material.objects.get()
    assert (thinner.order_up_to, thinner.lead_time_days) == (2_000_000, 10)
    assert (thinner.sealed_months, thinner.opened_months) == (36, 12)
    assert (thinner.density_low_g_per_ml, thinner.density_high_g_per_ml) == (0.85, 0.89)
    assert thinner.density_g_per_ml == pytest.approx(0.87)
    assert (thinner.storage_group, thinner.flash_point_c) == ("flammable", -4)
    assert [(part.substance, part.low_percent, part.high_percent) for part in thinner.constituents] == [
        ("", 40, 40),
        ("acetone", 20, 30),
    ]


def test_what_was_kept_can_be_sent_again_unchanged(member):
    posted(member, NEW, **THINNER)
    thinner = Material.objects.get()
    change = reverse("shelf:change_material", args=[thinner.pk])

    form = member.get(change).context["form"]
    known = {name: form[name].value() or "" for name in THINNER}
    known["density"] = form.fields["density"].prepare_value(known["density"])
    posted(member, change, **known)

    after = Material.objects.get()
    assert [str(part) for part in after.constituents] == ["House blend 40 %", "Acetone 20–30 %"]
    assert {name: value for name, value in vars(after).items() if name != "_state"} == {
        name: value for name, value in vars(thinner).items() if name != "_state"
    }


@pytest.mark.parametrize(("typed", "um"), [("18 ga B&S", 1024), ("SWG 18", 1219), ("1.2 mm", 1200)])
def test_a_sheet_is_as_thick_as_its_own_gauge_says(member, typed, um):
    posted(member, NEW, **SHEET | {"thickness": typed})

    assert Material.objects.get().thickness_um == um


def test_a_cup_that_was_weighed_a_few_times_has_a_range(member):
    posted(member, NEW, **THINNER | {"cup_g": "237 to 308"})

    powder = Material.objects.get()
    ends = (powder.bulk_density_low_g_per_ml, powder.bulk_density_g_per_ml, powder.bulk_density_high_g_per_ml)
    assert ends == pytest.approx((0.948, 1.09, 1.232))
    assert "237 to 308 g" in member.get(powder.get_absolute_url()).content.decode()
    change = member.get(reverse("shelf:change_material", args=[powder.pk])).context["form"]
    assert change["cup_g"].value() == "237 to 308"


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"category": "Dragons"}, "category", "not one of the available choices"),
        ({"density": "0.9 to 0.8"}, "density", "begins with its larger end"),
        ({"density": "87"}, "density", "outside 0.01 to 25 g/mL"),
        ({"flash_point_c": "hot"}, "flash_point_c", "not one number"),
        ({"opened_months": "-3"}, "opened_months", "below zero"),
        ({"order_up_to": "2 kg"}, "order_up_to", "measures mass, and volume is asked for"),
        ({"order_up_to": "400 mL"}, "order_up_to", "no more than the level"),
        ({"composition": "Acetone"}, "composition", "not a name and its percent"),
        ({"composition": "Acetone 120"}, "composition", "more than 100 %"),
        ({"composition": "Acetone 60\nToluene 50"}, "composition", "more than the whole"),
        ({"thickness": "gauge 18"}, "thickness", "not"),
        ({"thickness": "18 ga"}, "thickness", "write 18 B&S or 18 SWG"),
    ],
)
def test_what_cannot_be_true_of_a_material_is_refused(member, typed, field, sentence):
    response = posted(member, NEW, **THINNER | typed)

    assert sentence in response.context["form"].errors[field][0]
    assert '<details class="working" open>' in response.content.decode() or field == "category"
    assert not Material.objects.exists()


def test_a_missing_fact_needs_info(member):
    material = MaterialFactory()

    assert "needs info" in member.get(material.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("unit", "amount", "sentence"),
    [("pair", "1", "Used 1 pair of"), ("sheet", "2", "Used 2 sheets of"), ("bottle", "3 bottles", "Used 3 bottles of")],
)
def test_things_are_counted_by_their_own_word(member, unit, amount, sentence):
    box = stocked("50", name="Nitrile gloves M", dimension="count", shown_unit=unit)

    posted(member, reverse("shelf:use", args=[box.code]), amount=amount)

    entry = box.movements.last().entry
    assert str(entry) == f"{sentence} Nitrile gloves M from {box.code}"


@pytest.mark.django_db
def test_a_composition_is_replaced_as_a_whole():
    thinner = MaterialFactory()
    for typed in ("Acetone 20-30", "Toluene 5"):
        thinner.composition = [asdict(each) for each in read(typed)]
        operations.change_material(thinner, by=signed())

    thinner.refresh_from_db()
    assert [str(each) for each in thinner.constituents] == ["Toluene 5 %"]
