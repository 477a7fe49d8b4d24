from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.hazards import mixture
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import (
    bath,
    blue_percent,
    classify_as_sold,
    dried_percent,
    ingredient_of,
)
from chemistry.hazards.regimes import REGIMES
from chemistry.hazards.substances import SUBSTANCES
from chemistry.solution import sulfate

percents = st.fractions(min_value=0, max_value=100, max_denominator=1000)
shares = st.fractions(min_value=0, max_value=Fraction(9, 10), max_denominator=100)


@pytest.mark.parametrize("key", SUBSTANCES)
@pytest.mark.parametrize("regime", REGIMES)
def test_a_substance_as_sold_keeps_the_classes_on_record(key, regime):
    hazards = SUBSTANCES[key].hazards
    stricter = hazards.stricter.value if hazards.stricter else ()

    found = classify_as_sold(key, regime)

    recorded = [id for id in (*hazards.classes.value, *stricter) if regime in CLASSES[id].regimes]
    assert set(mixture.most_severe(recorded)) <= set(found.classes)


@pytest.mark.parametrize(
    ("key", "signal_word", "pictograms"),
    [
        ("copper_sulfate_pentahydrate", "Danger", ("GHS05", "GHS07", "GHS09")),  # ICSC 1416, November 2023
        ("copper_basic_carbonate", "Warning", ("GHS07", "GHS09")),  # this and the rest: CLP Annex VI, from memory
        ("copper_hydroxide", "Danger", ("GHS05", "GHS06", "GHS09")),
        ("acetic_acid_glacial", "Danger", ("GHS02", "GHS05")),
        ("sodium_hydroxide", "Danger", ("GHS05",)),
        ("acetone", "Danger", ("GHS02", "GHS07")),
        ("toluene", "Danger", ("GHS02", "GHS07", "GHS08")),
        ("white_spirit", "Danger", ("GHS02", "GHS07", "GHS08", "GHS09")),
        ("rosin", "Warning", ("GHS07",)),
        ("nitric_acid", "Danger", ("GHS03", "GHS05", "GHS06")),
    ],
)
def test_a_substance_as_sold_is_labelled_as_published(key, signal_word, pictograms):
    found = classify_as_sold(key, "EU")

    assert (found.signal_word, found.pictograms) == (signal_word, pictograms)


def test_the_assumed_thinner_has_the_classes_of_its_assumed_blend():
    shares = {"toluene": 40, "acetone": 30, "isopropanol": 15, "xylene": 15}
    blend = [ingredient_of(key, percent) for key, percent in shares.items()]

    computed = mixture.classify(blend, "EU").classes

    assert computed == mixture.most_severe(SUBSTANCES["lacquer_thinner_generic"].hazards.classes.value)


def test_a_bath_of_known_strength_has_its_salt_by_mass_and_not_a_tenth_of_it():
    # 250 g/L in a bath of 1.154 g/mL; the density is compared with the CRC Handbook elsewhere
    percent = blue_percent(250)

    density = sulfate.density_g_per_ml(sulfate.mass_fraction_from_strength(250, 20), 20)
    assert percent == pytest.approx(250 / density / 10)
    assert percent < 25


def test_a_fifth_of_the_water_dries_off_and_the_salt_stays():
    assert dried_percent(20) == Fraction(20 * 100, 20 + 64)
    assert dried_percent(20, dried_off=0) == 20
    assert dried_percent(100) == 100


@given(percent=percents, less=shares, more=shares)
def test_drying_never_weakens_a_bath(percent, less, more):
    less, more = sorted((less, more))

    assert dried_percent(percent, dried_off=less) <= dried_percent(percent, dried_off=more) <= 100


@given(percent=percents, dried_off=shares)
def test_a_bath_is_made_of_crystals_and_water_to_the_last_grain(percent, dried_off):
    crystals, water = bath(percent, dried_off=dried_off)

    assert crystals.most + water.most == 100
    assert (crystals.additive_eye, crystals.m_acute, crystals.m_chronic) == (False, 10, 1)


@pytest.mark.parametrize(
    "nonsense", [{"blue_percent": 101}, {"blue_percent": -1}, {"blue_percent": 20, "dried_off": 1}]
)
def test_a_nonsense_bath_is_refused(nonsense):
    with pytest.raises(ValueError, match="must"):
        bath(**nonsense)


def test_an_unknown_substance_is_refused():
    with pytest.raises(ValueError, match="no such substance: moonshine"):
        ingredient_of("moonshine", 10)


def test_a_dry_powder_is_not_asked_for_its_ph_but_its_solution_is():
    solution = [ingredient_of("sodium_carbonate", 10), ingredient_of("water", 90)]

    assert not any("pH" in question for question in classify_as_sold("sodium_carbonate", "EU").needs_info)
    assert any("pH" in question for question in mixture.classify(solution, "EU").needs_info)
