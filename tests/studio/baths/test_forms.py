"""What is typed at a bath, and what the book makes of it."""

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from chemistry import locale
from studio.baths.dipstick import Dipstick, Level
from studio.baths.fields import (
    CrystalsField,
    HydrometerField,
    LevelField,
    MarksField,
    StrengthField,
    TemperatureField,
    TitrationField,
    TypedQuantity,
    VolumeField,
)
from studio.pages.quantities import Units

FAHRENHEIT = Units(temperature_unit="°F")
BAUME = Units(strength_unit="°Bé")
MARKED = Dipstick(marks=((5, 1.9), (10, 4.1), (30, 12.3)), surface_cm2=410)


@pytest.mark.parametrize(
    ("typed", "unit", "sg"),
    [("1.155", "SG", 1.155), ("1,155", "SG", 1.155), ("1.15", "SG", 1.15), ("1.1555", "SG", 1.1555)],
)
def test_a_gravity_with_three_decimals_is_not_taken_for_thousands(typed, unit, sg):
    assert HydrometerField().clean([typed, unit]).sg == pytest.approx(sg)


def test_degrees_baume_are_read_on_the_us_scale():
    """NBS Circular 19: SG = 145 / (145 - °Bé) at 60/60 °F."""
    shown = HydrometerField().clean(["19,4", "°Bé"])

    assert shown.sg == pytest.approx(145 / (145 - 19.4))
    assert shown.reference_c == 15.56
    assert shown.words == "19.4 °Bé"


@pytest.mark.parametrize(
    ("typed", "unit", "sentence"),
    [
        ("15", "SG", "did you mean 15 °Bé"),
        ("1.9", "SG", "heavier than any copper sulfate bath"),
        ("1155", "SG", "Is that 1.155"),
        ("0.9", "SG", "lighter than water"),
        ("1.15", "°Bé", "did you mean SG 1.150"),
        ("45", "°Bé", "heavier than any copper sulfate bath"),
        ("deep blue", "SG", "is not one number"),
        ("1.15", "Twaddell", "is not a unit known here"),
        ("", "SG", "Give a number"),
    ],
)
def test_a_hydrometer_that_cannot_show_that_is_questioned(typed, unit, sentence):
    with pytest.raises(ValidationError, match=sentence):
        HydrometerField().clean([typed, unit])


@pytest.mark.parametrize(
    ("typed", "unit", "litres"),
    [("1,5", "L", 1.5), ("250", "mL", 0.25), ("1 1/2", "cup", 0.375), ("1", "gal", 3.785412), ("250 ml", "L", 0.25)],
)
def test_a_volume_comes_in_litres_whatever_it_was_measured_with(typed, unit, litres):
    assert VolumeField().clean([typed, unit]) == pytest.approx(litres, abs=1e-6)


def test_the_studios_cups_are_used():
    field = VolumeField()
    field.read_in(Units(cups="us"))

    assert field.clean(["1", "cup"]) == 0.236588


@pytest.mark.parametrize(
    ("typed", "unit", "sentence"),
    [
        ("1,000", "L", "write one of these"),
        ("-1", "L", "below zero"),
        ("1e3", "L", "is not an amount"),
        ("50 A", "L", "is not an amount"),
        (
            "3",
            "firkin",
            "“firkin” is not a unit known here; choose L or mL or cups or US gal or US qt or US pt or US fl oz",
        ),
    ],
)
def test_a_volume_of_no_clear_meaning_is_refused(typed, unit, sentence):
    with pytest.raises(ValidationError, match=sentence):
        VolumeField().clean([typed, unit])


def test_an_amount_that_may_stay_empty_stays_empty():
    assert CrystalsField(required=False).clean(["", "g"]) is None


def test_crystals_come_by_weight_or_by_the_cup():
    assert CrystalsField().clean(["1 1/2", "lb"]) == TypedQuantity("mass", 680_389)
    assert CrystalsField().clean(["2", "cup"]) == TypedQuantity("volume", 500_000)


@pytest.mark.parametrize(
    ("typed", "unit", "level"),
    [
        ("29.7", "cm", Level(depth_cm=29.7)),
        ("11 7/8", "in", Level(depth_cm=30.2)),
        ("11,9", "L", Level(litres=11.9)),
        ("11,9 L", "cm", Level(litres=11.9)),
    ],
)
def test_a_level_is_read_on_the_stick_or_in_litres(typed, unit, level):
    assert LevelField().clean([typed, unit]) == level


@pytest.mark.parametrize(("typed", "unit", "mol_per_l"), [("0.985", "mol/L", 0.985), ("60", "g/L", 0.9442)])
def test_titrated_copper_is_moles_or_grams_in_a_litre(typed, unit, mol_per_l):
    """63.546 g of copper are one mole: IUPAC standard atomic weights, 2021."""
    assert TitrationField().clean([typed, unit]) == pytest.approx(mol_per_l, abs=1e-4)


def test_grams_of_copper_typed_as_moles_are_questioned():
    with pytest.raises(ValidationError, match="more copper than water can hold"):
        TitrationField().clean(["60", "mol/L"])


def test_a_temperature_is_typed_and_shown_in_the_studios_degrees():
    field = TemperatureField(label="Temperature")
    field.read_in(FAHRENHEIT)

    assert field.clean("68") == 20
    assert field.prepare_value(20) == "68"
    assert field.label == "Temperature, °F"


def test_a_temperature_outside_is_told_the_range_in_the_studios_degrees():
    field = TemperatureField()
    field.read_in(FAHRENHEIT)

    with pytest.raises(ValidationError, match="20 is outside 32 to 140 °F"):
        field.clean("20")


def test_a_strength_is_typed_and_shown_as_the_studio_reads_it():
    field = StrengthField(label="Strength")
    field.read_in(BAUME)

    assert field.clean(field.prepare_value(241.2)) == pytest.approx(241, abs=1)
    assert field.label == "Strength, °Bé"


def test_marks_are_sorted_from_the_floor_up_and_need_no_units():
    typed = "20 = 8,1\n\n10 cm=4.1 L\n12 in = 3 gal"

    assert MarksField().clean(typed) == [(10, 4.1), (20, 8.1), (30.5, pytest.approx(11.356, abs=1e-3))]


def test_marks_are_inches_and_gallons_where_the_studio_measures_so():
    field = MarksField()
    with locale.override(Units("12,345.6", length="in", volume="gal")):
        marks = field.clean("4 = 1\n8.25 = 2.1\n30 cm = 11 L")

        shown = field.prepare_value(marks)
        assert field.clean(shown) == [(depth, pytest.approx(litres, rel=1e-3)) for depth, litres in marks]

    assert marks == [(10.2, pytest.approx(3.785, abs=1e-3)), (21, pytest.approx(7.949, abs=1e-3)), (30, 11)]
    assert shown == "4 = 1\n8.27 = 2.1\n11.8 = 2.906"


def test_marks_are_shown_as_they_are_typed():
    field = MarksField(required=False)

    assert field.clean(field.prepare_value([(10.0, 4.1), (20.5, 8.25)])) == [(10, 4.1), (20.5, 8.25)]
    assert field.clean("") == []


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("10 4.1", "is not a mark"),
        ("10 =", "is not a mark"),
        ("10 = 4.1 kg", "In the mark “10 = 4.1 kg”"),
        ("1,000 = 4.1", "write one of these"),
    ],
)
def test_a_mark_of_no_clear_meaning_is_quoted_and_refused(typed, sentence):
    with pytest.raises(ValidationError, match=sentence):
        MarksField().clean(typed)


@given(st.floats(min_value=0.01, max_value=50))
def test_a_depth_and_its_litres_lead_back_to_each_other(depth_cm):
    assert MARKED.depth_cm(MARKED.litres(depth_cm)) == pytest.approx(depth_cm)


@pytest.mark.parametrize(("depth_cm", "litres"), [(2.5, 0.95), (5, 1.9), (7.5, 3.0), (20, 8.2), (32, 13.12)])
def test_between_marks_the_level_rises_evenly_and_above_them_with_the_surface(depth_cm, litres):
    assert MARKED.litres(depth_cm) == pytest.approx(litres)


def test_a_tank_whose_floor_is_not_empty_begins_at_its_own_first_mark():
    raised = Dipstick(marks=((0, 0.5), (10, 4.5)), surface_cm2=400)

    assert raised.litres(0) == 0.5
    assert raised.litres(5) == 2.5


def test_two_millimetres_of_a_400_cm2_tank_are_80_ml():
    """Common practice, no source: a dipstick is read to 2 mm."""
    assert Dipstick(marks=(), surface_cm2=400).half_width_l == pytest.approx(0.08)


def test_a_level_is_said_in_the_unit_it_was_read_in():
    stick = Dipstick(marks=(), surface_cm2=400)
    said = {
        ("11 3/4", "in"): "11.75 in, which is 11.9 L",
        ("29,7", "cm"): "29.7 cm, which is 11.9 L",
        ("11.75 in", "cm"): "11.75 in, which is 11.9 L",
        ("11,9", "L"): "11.9 L",
    }

    assert {typed: LevelField().clean(list(typed)).words(stick) for typed in said} == said


def test_the_level_of_a_studio_that_measures_in_inches_begins_in_inches():
    begins = {}
    for length in ("in", "cm"):
        with locale.override(Units(length=length)):
            begins[length] = LevelField().widget.offered[0]

    assert begins == {"in": "in", "cm": "cm"}
