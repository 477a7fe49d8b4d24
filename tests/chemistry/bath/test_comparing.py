"""What a reading says by itself, against the handbook and against a general-purpose least-squares estimate."""

import numpy as np
import pytest

from chemistry.bath import (
    Adopted,
    DensityRead,
    LevelRead,
    Mixed,
    Titrated,
    compare,
    forecast,
    replay,
)
from chemistry.solution import sulfate
from tests import sources
from tests.formulas import redone

TABLES = sources.read("copper_sulfate")
KNOWN = Adopted(day=0, volume_l=12, strength_g_per_l=240, volume_sd_l=0.1, strength_sd_g_per_l=5)
VAGUE = Adopted(day=0, volume_l=12, strength_g_per_l=240, volume_sd_l=0.5, strength_sd_g_per_l=40)
READINGS = {
    "a level": LevelRead(day=1, volume_l=11.8, sd_l=0.04),
    "a level, warm": LevelRead(day=1, volume_l=12.1, sd_l=0.04, temperature_c=35),
    "a hydrometer": DensityRead(day=1, sg=1.149),
    "a hydrometer, cold, for 60 °F": DensityRead(day=1, sg=1.155, temperature_c=10, reference_c=15.56),
    "a titration": Titrated(day=1, mol_per_l=0.97, sd=0.01),
    "as the book has it": Titrated(day=1, mol_per_l=240 / sulfate.BLUE_CRYSTALS_G_PER_MOL, sd=0.01),
}


def said(reading, began=KNOWN):
    before, after = replay([began, reading])
    return compare(before, reading, after)


@pytest.mark.parametrize("row", [row for row in TABLES["concentrative_20c"]["rows"] if row[0] <= 18])
def test_a_hydrometer_alone_says_what_the_handbook_has_for_its_density(row):
    _, _, mol_per_l, density, *_ = row

    alone = said(DensityRead(day=1, sg=density / 0.9982), VAGUE).alone

    assert alone.value == pytest.approx(mol_per_l * sulfate.BLUE_CRYSTALS_G_PER_MOL, abs=alone.half_width)


@pytest.mark.parametrize("reading", READINGS.values(), ids=READINGS)
@pytest.mark.parametrize("began", [KNOWN, VAGUE])
def test_both_together_lie_between_the_two_and_are_the_bath_that_is_shown(reading, began):
    comparison = said(reading, began)
    before, after = replay([began, reading])
    shown = (
        (after.volume_l, after.volume_sd_l)
        if comparison.alone.unit == "L"
        else (
            after.strength_g_per_l,
            after.strength_sd_g_per_l,
        )
    )

    assert (comparison.together.value, comparison.together.sd) == pytest.approx(shown)
    low, high = sorted([comparison.alone.value, comparison.before.value])
    assert low - 0.1 <= comparison.together.value <= high + 0.1
    assert comparison.together.sd <= min(comparison.alone.sd, comparison.before.sd) * 1.001


@pytest.mark.parametrize("reading", READINGS.values(), ids=READINGS)
def test_both_together_are_the_two_weighed_by_their_spreads(reading):
    """Against numpy's least squares: two measurements of one figure, each divided by its sd."""
    both = said(reading, VAGUE)
    pair = [both.alone, both.before]
    rows = np.array([[1 / each.sd] for each in pair])

    [expected], *_ = np.linalg.lstsq(rows, np.array([each.value / each.sd for each in pair]), rcond=None)

    assert both.together.value == pytest.approx(expected, abs=0.25 * both.together.sd)
    assert both.together.sd == pytest.approx(1 / np.linalg.norm(rows), rel=0.05)


@pytest.mark.parametrize("reading", READINGS.values(), ids=READINGS)
def test_each_can_be_redone_from_its_working_which_shows_the_reading(reading):
    both = said(reading)

    for figure in (both.alone, both.before, both.together):
        assert redone(figure.working) == pytest.approx(figure.value, rel=1e-9)
    assert both.alone.working.inputs[0].value == reading.reading


def test_a_hydrometer_that_is_known_to_be_off_speaks_without_what_it_is_off():
    true = sulfate.sg(sulfate.mass_fraction_from_strength(240, 20), 20, 20)
    sure = Adopted(day=0, volume_l=12, strength_g_per_l=240, volume_sd_l=0.01, strength_sd_g_per_l=0.1)
    glass = [DensityRead(day=number, sg=true + 0.004) for number in range(1, 9)]

    states = replay([sure, *glass])

    assert compare(states[0], glass[0], states[1]).alone.value > 246
    assert compare(states[-2], glass[-1], states[-1]).alone.value == pytest.approx(241, abs=1.5)


def test_a_bath_that_dried_meanwhile_is_compared_as_it_was_when_it_was_read():
    mixed = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    reading = LevelRead(day=9, volume_l=12, sd_l=0.05)

    assert compare(mixed, reading, None).before.value == forecast(mixed, days=9).volume_l


@pytest.mark.parametrize(
    ("reading", "value", "unit"),
    [
        (DensityRead(day=1, sg=0.97), 0.0, "g/L"),
        (DensityRead(day=1, sg=1.45), 1.45, "SG"),
        (Titrated(day=1, mol_per_l=0.0, sd=0.01), 0.0, "g/L"),
    ],
)
def test_what_no_bath_can_show_still_says_something(reading, value, unit):
    comparison = said(reading)

    assert (comparison.alone.value, comparison.alone.unit) == (value, unit)
    assert comparison.alone.sd > 0


def test_over_crystals_it_is_said_that_a_reading_sees_the_liquid_only():
    over = Mixed(day=0, water_l=2.7, salt_g=1200)

    assert said(DensityRead(day=1, sg=1.2), over).sees_liquid_only
    assert not said(LevelRead(day=1, volume_l=3.2, sd_l=0.1), over).sees_liquid_only
    assert not said(DensityRead(day=1, sg=1.149)).sees_liquid_only
