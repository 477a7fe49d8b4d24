"""Every reading of every bath, from its form to its answer: no page breaks, and no refusal speaks in code."""

import re
from itertools import cycle, product
from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.bath import Adopted, DryingRate, Mixed
from chemistry.solution import sulfate
from inventory.models import Entry
from studio.baths import estimate, operations
from studio.baths.models import Answer, BathEvent
from studio.pages.quantities import fahrenheit
from tests.factories import BathFactory, signed

pytestmark = pytest.mark.django_db

CODE_WORD = re.compile(r"\b(?:sd|\w+_(?:l|g|c|sd|ah|per_l)|sg must|must be between)\b")
UNITS = list(product(("g/L", "°Bé"), ("°C", "°F")))
TYPED = {
    "read_level": [("0.4", "L"), ("5", "L"), ("12.9", "L"), ("0", "cm")],
    "read_hydrometer": [("0.96", "SG"), ("1.000", "SG"), ("1.15", "SG"), ("1.299", "SG"), ("0", "°Bé"), ("33", "°Bé")],
    "titrate": [("0", "mol/L"), ("0.96", "mol/L"), ("2.4", "mol/L"), ("150", "g/L")],
}
BATHS = (0, 3, 230, 318, 399, "dried up")


def bath_of(strength):
    bath = BathFactory()
    if strength == "dried up":
        mixed = Mixed(day=0, water_l=0.2, salt_g=600)
        begun = Adopted(day=0, volume_l=12, strength_g_per_l=350, volume_sd_l=0.1, strength_sd_g_per_l=5)
        operations.adopt(bath, begun, lid_on=False, by=signed(0))
        with operations.writing(bath, "lid", "Lid off", signed(0)) as entry:
            operations.record(bath, entry, mixed, "mixed too strong")
            operations.record(bath, entry, DryingRate(day=0, g_per_day=90), "lid off")
        return bath
    begun = Adopted(day=0, volume_l=12, strength_g_per_l=strength, volume_sd_l=0.1, strength_sd_g_per_l=0.02 * strength)
    operations.adopt(bath, begun, lid_on=True, by=signed(0))
    return bath


def written(page, number, unit, temperature, units):
    typed = {"key": uuid4(), "happened_at": "2026-03-06T09:00", "temperature_c": temperature, "reference_c": "20"}
    if page == "read_level":
        return typed | {"level_0": number, "level_1": unit, "half_width_l": "0.08"}
    if page == "titrate":
        return typed | {"copper_0": number, "copper_1": unit, "half_width_percent": "2"}
    return typed | {"hydrometer_0": number, "hydrometer_1": unit}


def test_every_reading_is_written_or_refused_in_plain_words_and_can_be_answered(keyholder, studio):
    ways = cycle(product(UNITS, Answer.Choice.values))
    temperatures = cycle((2, 12, 20, 30, 45))
    for strength in BATHS:
        bath = bath_of(strength)
        for page, readings in TYPED.items():
            for number, unit in readings:
                (studio.strength, studio.temperature), choice = next(ways)
                studio.save_base()
                temperature_c = next(temperatures)
                warm = f"{fahrenheit(temperature_c) if studio.temperature == '°F' else temperature_c:g}"
                typed = written(page, number, unit, warm, studio.units)
                case = f"{strength} g/L: {page} {number} {unit} at {temperature_c} °C in {studio.units}, {choice}"

                response = keyholder.post(reverse(f"baths:{page}", args=[bath.pk]), typed)

                if response.status_code == 200:
                    said = " ".join(sum(response.context["form"].errors.values(), []))
                    assert said and not CODE_WORD.search(said), f"{case}: {said}"
                    continue
                assert response.status_code == 302, case
                reading = BathEvent.objects.latest("pk")
                if reading.is_held_out:
                    url = reverse("baths:answer", args=[reading.pk])
                    assert keyholder.get(url).status_code == 200, case
                    answered = keyholder.post(url, {"key": uuid4(), "choice": choice})
                    assert answered.status_code == 302, case
                for page_of_bath in ("baths:bath", "baths:log", "baths:answer"):
                    pk = reading.pk if page_of_bath == "baths:answer" else bath.pk
                    assert keyholder.get(reverse(page_of_bath, args=[pk])).status_code in (200, 302), case
                book_of_today = Entry.objects.latest("pk")
                if reading.pk and choice == Answer.Choice.TRUST_READING and not reading.is_held_out:
                    assert estimate.at_moment(bath) is not None, (case, book_of_today)


def post(browser, page, bath, **typed):
    return browser.post(reverse(f"baths:{page}", args=[bath.pk]), {"key": uuid4(), "reference_c": "20"} | typed)


def test_a_titration_of_nothing_is_a_reading_with_a_spread(member):
    bath = bath_of(0)

    response = post(member, "titrate", bath, copper_0="0", copper_1="mol/L", half_width_percent="2")

    assert response.status_code == 302
    assert BathEvent.objects.get(kind="Titrated").event.sd == pytest.approx(0.001 / 1.96)


def test_a_baume_studio_may_adopt_a_bath_at_nought_and_titrate_it(keyholder, studio):
    studio.strength = "°Bé"
    studio.save_base()
    bath = BathFactory()
    about = {"level_0": "12", "level_1": "L", "known_by": "about", "strength_g_per_l": "0", "lid_on": "on"}

    assert post(keyholder, "adopt", bath, **about).status_code == 302
    response = post(keyholder, "titrate", bath, copper_0="0.96", copper_1="mol/L", half_width_percent="2")
    reading = BathEvent.objects.get(kind="Titrated")
    answered = keyholder.post(
        reverse("baths:answer", args=[reading.pk]), {"key": uuid4(), "choice": Answer.Choice.TRUST_READING}
    )

    assert (response.status_code, answered.status_code) == (302, 302)
    assert estimate.at_moment(bath).strength_g_per_l == pytest.approx(0.96 * sulfate.BLUE_CRYSTALS_G_PER_MOL, abs=3)


@pytest.mark.parametrize("unit", ["g/L", "°Bé"])
def test_a_strength_beyond_any_bath_is_refused_in_the_studios_unit(keyholder, studio, unit):
    studio.strength = unit
    studio.save_base()
    bath = BathFactory()
    for strength in ("0", "29", "30", "39", "400", "401", "600"):
        about = {"level_0": "12", "level_1": "L", "known_by": "about", "strength_g_per_l": strength, "lid_on": "on"}

        response = post(keyholder, "adopt", bath, **about)

        if response.status_code == 200:
            [said] = response.context["form"].errors["strength_g_per_l"]
            assert said.endswith(f"{unit}; look again at the number and its unit.")


def test_every_bath_can_be_planned_for_in_every_way(member):
    for strength in BATHS:
        bath = bath_of(strength)
        address = reverse("baths:top_up", args=[bath.pk])
        for way, level, wanted in product(("water", "crystals", "both"), ("0.0004", "5", "12.9"), ("", "1", "400")):
            asked = {"level_0": level, "level_1": "L", "way": way, "strength": wanted}

            response = member.get(address, asked)

            assert response.status_code == 200, f"{strength} g/L, {asked}"
        assert member.get(address).status_code == 200, strength


def test_every_bath_can_be_poured_from_and_read_again(member):
    for strength in BATHS:
        bath = bath_of(strength)
        for page, typed in (
            ("baths:drips", {"plates": "3", "ml_each": "6"}),
            ("waste:take_out", {"told": "jug", "litres_0": "0.1", "litres_1": "L", "where_to": "to a jar"}),
            ("baths:cover", {"lid_on": "off"}),
            ("baths:read_level", {"level_0": "3", "level_1": "L", "half_width_l": "0.08", "temperature_c": "20"}),
        ):
            response = member.post(reverse(page, args=[bath.pk]), {"key": uuid4()} | typed)

            assert response.status_code == 302, f"{strength} g/L, {page}: {response.context['form'].errors}"
            assert member.get(bath.get_absolute_url()).status_code == 200, f"{strength} g/L after {page}"
