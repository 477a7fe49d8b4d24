"""What leaves a bath is one sum: its own log, the drum and the balance never differ, whichever way it is taken out."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import bath
from chemistry.bath import Adopted, DryingRate, LevelRead, Mixed, Removed, RemovedByLevel, RemovedByWeight
from chemistry.copper.removal import taken_out
from chemistry.measured import Measured, total
from chemistry.solution.sulfate import COPPER_PER_BLUE, HIGHEST_MASS_FRACTION
from chemistry.solution.water_and_salt import mass_fraction

CLEAR = [Adopted(day=0, volume_l=12, strength_g_per_l=229, volume_sd_l=0.1, strength_sd_g_per_l=2)]
OVER_SATURATED = [Adopted(day=0, volume_l=3, strength_g_per_l=400, volume_sd_l=0.1, strength_sd_g_per_l=5)]
DRIED_UP = [
    Mixed(day=0, water_l=3, salt_g=1200),
    DryingRate(day=0, g_per_day=100),
    LevelRead(day=25, volume_l=1.2, sd_l=0.05),
]
NEARLY_NOTHING = [Adopted(day=0, volume_l=0.05, strength_g_per_l=229, volume_sd_l=0.01, strength_sd_g_per_l=2)]
WATER_ALONE = [Adopted(day=0, volume_l=5, strength_g_per_l=0, volume_sd_l=0.1, strength_sd_g_per_l=0)]
BATHS = {
    "clear": CLEAR,
    "over-saturated": OVER_SATURATED,
    "dried past the density equation": DRIED_UP,
    "nearly nothing": NEARLY_NOTHING,
    "water alone": WATER_ALONE,
}
WAYS = {
    "a litre by the jug": {"litres": 1.0},
    "all of it and more": {"litres": 50.0},
    "told by the level before and after": {"litres": 1.0, "sd_l": 0.01},
    "a spill": {"litres": 0.5, "sd_l": 0.15},
    "a sample": {"litres": 0.02, "sd_l": 0.001},
    "strained with crystals": {"litres": 0.3, "crystals_g": 60.0},
    "crystals alone": {"litres": 0.0, "crystals_g": 60.0},
    "more crystals than there is salt": {"litres": 0.5, "crystals_g": 5000.0},
    "drips": {"litres": 0.006, "sd_l": 0.0015},
    "nothing": {"litres": 0.0},
}
OTHERWISE_TOLD = {
    "weighed": RemovedByWeight(day=1, grams=1100),
    "weighed on a bathroom scale": RemovedByWeight(day=1, grams=2000, sd_g=200),
    "more weighed than there is": RemovedByWeight(day=1, grams=60_000),
    "weighed, with crystals": RemovedByWeight(day=1, grams=500, crystals_g=60),
    "by the level": RemovedByLevel(day=1, before_l=11.5, after_l=10.5, sd_l=0.05),
    "by a level that did not fall": RemovedByLevel(day=1, before_l=10.5, after_l=10.6, sd_l=0.05),
}


@pytest.mark.parametrize("name", BATHS)
def test_the_drum_gains_what_the_bath_loses(name):
    before = bath.replay(BATHS[name])[-1]
    told = {way: Removed(day=1, **fields) for way, fields in WAYS.items()} | OTHERWISE_TOLD
    for way, event in told.items():
        event = replace(event, day=before.day + 1)
        lost_g = before.salt_g - bath.replay([event], start=before)[-1].salt_g

        out = taken_out(event, before)

        assert out.copper.value == pytest.approx(COPPER_PER_BLUE * lost_g, abs=1e-9), way
        assert out.copper.sd >= 0, way
        assert 0.98 <= out.density.value < 1.4, way


def test_a_bath_that_dried_up_is_stronger_than_the_density_equation_knows():
    dried = bath.replay(DRIED_UP)[-1]

    assert mass_fraction(dried.water_g, dried.salt_g) > HIGHEST_MASS_FRACTION


def test_a_litre_off_an_over_saturated_bath_leaves_the_crystals_where_they_are():
    before = bath.replay(OVER_SATURATED)[-1]
    liquid = bath.settle(before, temperature_c=20).liquid_strength_g_per_l

    out = taken_out(Removed(day=0, litres=1), before)

    assert out.copper.value == pytest.approx(COPPER_PER_BLUE * liquid)
    assert out.copper.value < 0.9 * COPPER_PER_BLUE * before.strength_g_per_l


@given(st.floats(0.05, 1.9), st.floats(0.0, 1.0))
def test_some_of_a_pour_carries_its_share(litres, share):
    before = bath.replay(OVER_SATURATED)[-1]
    out = taken_out(Removed(day=0, litres=litres, crystals_g=30), before)

    some = out.copper_in(Measured(share * litres, 0.1 * share * litres, "L"))

    assert some.value == pytest.approx(share * out.copper.value)


def test_what_was_poured_beyond_the_book_may_have_been_bath_as_well():
    before = bath.replay(CLEAR)[-1]

    out = taken_out(Removed(day=0, litres=15), before)

    assert out.copper.high > COPPER_PER_BLUE * 15 * 229


def test_two_pours_from_one_bath_are_wrong_alike_and_from_two_baths_they_are_not():
    before = bath.replay(CLEAR)[-1]
    after = bath.replay([Removed(day=0, litres=1)], start=before)[-1]
    exact = {"litres": 1.0, "sd_l": 0.0}

    def strengths(*names):
        outs = (
            taken_out(Removed(day=0, **exact), state, error=name)
            for state, name in zip((before, after), names, strict=True)
        )
        return total((out.copper for out in outs), "g")

    one_sd = taken_out(Removed(day=0, **exact), before).copper.sd
    assert strengths("bath 1", "bath 1").sd == pytest.approx(2 * one_sd, rel=0.02)
    assert strengths("bath 1", "bath 2").sd == pytest.approx(2**0.5 * one_sd, rel=0.02)


def test_a_bath_hands_out_what_its_covariance_says():
    state = bath.replay([Mixed(day=0, water_l=11, salt_g=3000), LevelRead(day=1, volume_l=12, sd_l=0.1)])[-1]
    found = state.measured()

    assert (found.volume.value, found.volume.sd) == pytest.approx((state.volume_l, state.volume_sd_l))
    assert (found.strength.value, found.strength.sd) == pytest.approx(
        (state.strength_g_per_l, state.strength_sd_g_per_l)
    )
    # litres and strength are wrong against each other, so their product is the salt again
    salt = found.volume.times(found.strength, "g")
    assert (salt.value, salt.sd) == pytest.approx((found.salt.value, found.salt.sd))
    assert (salt - found.salt).sd == pytest.approx(0, abs=1e-6)
