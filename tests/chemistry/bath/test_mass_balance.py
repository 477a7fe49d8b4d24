"""
Baths held against a mass balance in moles, written apart from the code: water, copper sulfate and what carries both.

Molar masses: IUPAC standard atomic weights, 2021. Density at 20 °C: CRC Handbook of Chemistry and Physics, 102nd ed.,
2021, "Concentrative Properties of Aqueous Solutions", by the table of the simulation beside this file.
"""

import pytest

from chemistry.bath import (
    Adopted,
    CrystalsAdded,
    Mixed,
    Removed,
    RemovedByLevel,
    RemovedByWeight,
    WaterAdded,
    replay,
)
from tests.chemistry.bath.simulation import density

COPPER, SULFUR, OXYGEN, HYDROGEN = 63.546, 32.06, 15.999, 1.008
WATER = 2 * HYDROGEN + OXYGEN
ANHYDROUS = COPPER + SULFUR + 4 * OXYGEN
BLUE = ANHYDROUS + 5 * WATER
WATER_G_PER_L = 998.2
POWDER, MONOHYDRATE, TRIHYDRATE, CRYSTALS = 0, 1, 3, 5


def made_of(water_g: float, *salts: tuple[float, float]) -> tuple[float, float]:
    """Strength and volume at 20 °C of so much water and salts, each as grams and waters of crystallisation. [g/L, L]"""
    anhydrous_g = sum(grams * ANHYDROUS / (ANHYDROUS + waters * WATER) for grams, waters in salts)
    mass_g = water_g + sum(grams for grams, _ in salts)
    litres = mass_g / density(100 * anhydrous_g / mass_g, 20) / 1000
    return anhydrous_g / ANHYDROUS * BLUE / litres, litres


@pytest.mark.parametrize(
    ("water_l", "grams", "waters", "strength", "volume"),
    [
        (1.00, 160, POWDER, 249, 1.004),  # by hand: 160 g bind 90 g of the water
        (6.05, 974, POWDER, 250.5, 6.083),
        (1.00, 160, MONOHYDRATE, 221, 1.018),
        (1.00, 200, TRIHYDRATE, 222, 1.054),
        (1.00, 250, CRYSTALS, 229, 1.094),
    ],
)
def test_each_salt_takes_up_its_own_water(water_l, grams, waters, strength, volume):
    state = replay([Mixed(day=0, water_l=water_l, salt_g=grams, waters=waters)])[-1]

    assert made_of(water_l * WATER_G_PER_L, (grams, waters)) == pytest.approx((strength, volume), rel=0.003)
    assert (state.strength_g_per_l, state.volume_l) == pytest.approx((strength, volume), rel=0.003)


def test_a_gram_of_powder_binds_more_than_half_a_gram_of_water():
    before, after = replay([Mixed(day=0, water_l=1, salt_g=0), CrystalsAdded(day=0, grams=1, waters=POWDER)])

    assert before.water_g - after.water_g == pytest.approx(5 * WATER / ANHYDROUS, abs=1e-4)
    assert before.water_g - after.water_g == pytest.approx(0.564, abs=0.0005)


def test_powder_and_crystals_in_one_bath_add_up_whatever_comes_first():
    salts = ((160, POWDER), (90, MONOHYDRATE), (300, CRYSTALS))
    for order in (salts, salts[::-1]):
        added = [CrystalsAdded(day=0, grams=grams, waters=waters) for grams, waters in order]

        state = replay([Mixed(day=0, water_l=3, salt_g=0), *added])[-1]

        assert (state.strength_g_per_l, state.volume_l) == pytest.approx(made_of(3 * WATER_G_PER_L, *salts), rel=0.003)
        assert state.water_g + state.salt_g == pytest.approx(3 * WATER_G_PER_L + 550, rel=1e-5)


def test_an_impure_lot_brings_its_share_and_binds_water_for_no_more():
    state = replay([Mixed(day=0, water_l=1, salt_g=200, waters=POWDER, purity=0.8)])[-1]

    assert (state.strength_g_per_l, state.volume_l) == pytest.approx(made_of(WATER_G_PER_L, (160, POWDER)), rel=0.003)


def test_a_gram_more_of_powder_on_the_scale_is_a_gram_and_a_half_of_crystals_too_many():
    crystals, powder = (
        replay([Mixed(day=0, water_l=2, salt_g=300, waters=waters, water_sd_l=0, salt_sd_g=2)])[-1]
        for waters in (CRYSTALS, POWDER)
    )

    assert powder.sd_of(0, 1) == pytest.approx(BLUE / ANHYDROUS * crystals.sd_of(0, 1), rel=1e-4)
    # what it counts as salt it takes from the water: the mass is off by no more than the scale
    assert powder.sd_of(1, 1) == pytest.approx(2)


BATH = Adopted(day=0, volume_l=10, strength_g_per_l=240, volume_sd_l=0.2, strength_sd_g_per_l=6)


def test_a_weighed_pour_takes_its_share_of_water_and_salt():
    before = replay([BATH])[-1]
    mass_g = before.water_g + before.salt_g

    after = replay([RemovedByWeight(day=0, grams=1146)], start=before)[-1]

    assert before.water_g - after.water_g == pytest.approx(1146 * before.water_g / mass_g)
    assert before.salt_g - after.salt_g == pytest.approx(1146 * before.salt_g / mass_g)
    assert after.strength_g_per_l == pytest.approx(before.strength_g_per_l)


@pytest.mark.parametrize("removed", [RemovedByWeight(day=0, grams=2000, sd_g=0), Removed(day=0, litres=2, sd_l=0)])
def test_what_is_left_after_a_pour_is_as_unsure_as_the_sum_says(removed):
    """The covariance against differences of the sum itself, a hair of water or of salt to either side."""
    before = replay([BATH])[-1]

    def left(water_g, salt_g):
        state = replay([removed], start=type(before)(**vars(before) | {"water_g": water_g, "salt_g": salt_g}))[-1]
        return state.water_g, state.salt_g

    hair = 0.01
    by_water = [
        (more - less) / (2 * hair)
        for more, less in zip(
            left(before.water_g + hair, before.salt_g), left(before.water_g - hair, before.salt_g), strict=True
        )
    ]
    by_salt = [
        (more - less) / (2 * hair)
        for more, less in zip(
            left(before.water_g, before.salt_g + hair), left(before.water_g, before.salt_g - hair), strict=True
        )
    ]
    after = replay([removed], start=before)[-1]

    assert after.sd_of(1, 0) == pytest.approx(before.sd_of(by_water[0], by_salt[0]), rel=1e-3)
    assert after.sd_of(0, 1) == pytest.approx(before.sd_of(by_water[1], by_salt[1]), rel=1e-3)


def test_a_scale_tells_a_pour_better_than_two_levels_and_these_better_than_a_jug():
    sds = [
        replay([Mixed(day=0, water_l=10, salt_g=2400, water_sd_l=0, salt_sd_g=0), removed])[-1].volume_sd_l
        for removed in (
            RemovedByWeight(day=0, grams=2292),
            RemovedByLevel(day=0, before_l=11, after_l=9, sd_l=0.03),
            Removed(day=0, litres=2),
        )
    ]

    assert sds == sorted(sds)
    assert sds[1] == pytest.approx(2**0.5 * 0.03, rel=0.01)
    assert sds[2] == pytest.approx(0.22, rel=0.01)


def test_water_that_powder_will_bind_may_go_in_with_it():
    """Half a bath of powder and its water is the same as half a bath of crystals."""
    crystals = replay([Mixed(day=0, water_l=2, salt_g=500)])[-1]
    powder_g = 500 * ANHYDROUS / BLUE
    bound_l = (500 - powder_g) / WATER_G_PER_L

    powder = replay([Mixed(day=0, water_l=2, salt_g=powder_g, waters=POWDER), WaterAdded(day=0, litres=bound_l)])[-1]

    assert powder.strength_g_per_l == pytest.approx(crystals.strength_g_per_l, rel=1e-4)
    assert powder.volume_l == pytest.approx(crystals.volume_l, rel=1e-4)
