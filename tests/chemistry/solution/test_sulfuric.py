"""Acid beside copper sulfate, against handbook tables and an independent library."""

import warnings

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.bath import AcidAdded, AcidTitrated, Adopted, DensityRead, Mixed, PhRead, Removed, replay, settle, top_up
from chemistry.solution import sulfuric, water_and_salt

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from thermo.electrochem import Laliberte_density

# CRC Handbook, 102nd ed., 2021, "Concentrative Properties of Aqueous Solutions", 20 °C: mass percent H2SO4, g/mL; read
ACID_ALONE = [
    (1, 1.0049),
    (2, 1.0116),
    (5, 1.0318),
    (8, 1.0522),
    (10, 1.0661),
    (15, 1.1020),
    (20, 1.1398),
    (28, 1.2031),
]
# a refinery's equation, ρ = 1018.56 + 2.38 Cu + 0.54 acid - 0.59 t, kg/m3, g/L, °C, to 60 g/L Cu and 220 g/L acid; from
# memory, so it bounds and vouches for nothing
REFINERY = [(50, 50, 20), (50, 130, 50), (40, 160, 60), (60, 200, 60)]
CAS = {"copper": "7758-98-7", "acid": "7664-93-9"}


@pytest.mark.parametrize(("percent", "g_per_ml"), ACID_ALONE)
def test_acid_alone_has_the_density_of_the_table(percent, g_per_ml):
    assert sulfuric.density_g_per_ml(0, percent / 100, 20) == pytest.approx(g_per_ml, abs=0.0015)


@pytest.mark.parametrize("temperature_c", [5, 20, 25, 45])
@pytest.mark.parametrize(("copper", "acid"), [(0.1, 0.04), (0.04, 0.15), (0.12, 0.05), (0.001, 0.2), (0.15, 0.001)])
def test_the_mixture_is_lalibertes_as_thermo_works_it_out(copper, acid, temperature_c):
    expected = Laliberte_density(temperature_c + 273.15, [copper, acid], [CAS["copper"], CAS["acid"]]) / 1000

    assert sulfuric.density_g_per_ml(copper, acid, temperature_c) == pytest.approx(expected, abs=2e-5)


@pytest.mark.parametrize(("copper_g_per_l", "acid_g_per_l", "temperature_c"), REFINERY)
def test_the_mixture_lies_as_near_a_refinerys_equation_as_its_spread_says(copper_g_per_l, acid_g_per_l, temperature_c):
    anhydrous = copper_g_per_l * 159.609 / 63.546
    refinery = (1018.56 + 2.38 * copper_g_per_l + 0.54 * acid_g_per_l - 0.59 * temperature_c) / 1000
    found = sulfuric.density_g_per_ml(anhydrous / refinery / 1000, acid_g_per_l / refinery / 1000, temperature_c)

    of_acid = 0.59 * acid_g_per_l / 1000
    assert abs(found - refinery) < 1.96 * (0.002 + sulfuric.ACID_SD_SHARE * of_acid)


masses = st.tuples(st.floats(100, 20_000), st.floats(0, 5000), st.floats(0, 3000), st.sampled_from([2, 15, 20, 30, 45]))


@given(masses)
def test_the_slopes_of_the_volume_are_those_of_its_differences(of):
    water_g, salt_g, acid_g, temperature_c = of
    litres, *slopes = water_and_salt.volume_with_acid(water_g, salt_g, acid_g, temperature_c)
    hair = 1e-4 * water_g

    for place, slope in enumerate(slopes):
        more = [water_g, salt_g, acid_g]
        more[place] += hair
        grown = water_and_salt.volume_with_acid(*more, temperature_c)[0] - litres
        # a kink, where the strongest solution is reached, lies between the slopes on either side
        assert grown / hair == pytest.approx(slope, rel=0.01, abs=2e-4)


@given(st.floats(0.1, 50), st.floats(1, 330), st.floats(0, 200))
def test_water_that_fills_a_volume_fills_it(litres, strength, acid):
    water_g, _ = water_and_salt.water_for(litres, litres * strength, litres * acid, 20)

    filled = water_and_salt.volume_with_acid(water_g, litres * strength, litres * acid, 20)[0]
    assert filled == pytest.approx(litres, rel=1e-6)


def test_the_stock_acid_weighs_what_the_table_says():
    for percent, g_per_ml in [(96, 1.8355), (37, 1.277), (0, 0.9982), (100, 1.8305)]:
        assert sulfuric.stock_density_g_per_ml(percent) == pytest.approx(g_per_ml, abs=0.001), percent


SOUR = Adopted(
    day=0,
    volume_l=10,
    strength_g_per_l=200,
    volume_sd_l=0.05,
    strength_sd_g_per_l=3,
    acid_g_per_l=50,
    acid_sd_g_per_l=2,
)


def test_acid_that_nobody_told_of_reads_as_copper_sulfate():
    """200 g/L with 50 g/L of acid reads like a bath of about 249 g/L."""
    sour = replay([SOUR])[-1]
    sg, *_ = water_and_salt.specific_gravity_with_acid(sour.water_g, sour.salt_g, sour.acid_g, 20, 20)
    wide = {"volume_sd_l": 0.05, "strength_sd_g_per_l": 60}
    untold = Adopted(day=0, volume_l=10, strength_g_per_l=200, **wide)
    told = Adopted(day=0, volume_l=10, strength_g_per_l=200, acid_g_per_l=50, acid_sd_g_per_l=2, **wide)
    reading = DensityRead(day=0, sg=sg)

    fooled, knowing = (replay([adopted, reading])[-1] for adopted in (untold, told))

    assert fooled.strength_g_per_l == pytest.approx(249, abs=4)
    assert knowing.strength_g_per_l == pytest.approx(200, abs=1)
    # and what acid adds is known to 5 % only
    assert knowing.strength_sd_g_per_l > fooled.strength_sd_g_per_l


def test_an_adopted_sour_bath_comes_back_as_it_was_told():
    state = replay([SOUR])[-1]

    assert (state.volume_l, state.strength_g_per_l, state.acid_g_per_l) == pytest.approx((10, 200, 50), rel=1e-6)
    assert state.acid_sd_g_per_l == pytest.approx(2, rel=0.01)


def test_acid_conserves_its_grams_through_mixing_pouring_and_drying():
    mixed, soured = Mixed(day=0, water_l=10, salt_g=2000), AcidAdded(day=0, grams=500, percent=96)
    added = AcidAdded(day=1, grams=100, percent=37)
    _, before, after = replay([mixed, soured, added])
    poured = replay([Removed(day=2, litres=1)], start=after)[-1]

    assert before.acid_g == pytest.approx(480)
    assert after.acid_g == pytest.approx(517)
    assert after.water_g - before.water_g == pytest.approx(63)
    assert after.acid_g - poured.acid_g == pytest.approx(after.acid_g / after.volume_l, rel=1e-6)


@pytest.mark.parametrize("reading", [AcidTitrated(day=0, g_per_l=40, sd=1), PhRead(day=0, ph=0.8)])
def test_what_tells_of_acid_first_is_believed_where_nobody_said_anything(reading):
    unasked = Adopted(day=0, volume_l=10, strength_g_per_l=200, volume_sd_l=0.1, strength_sd_g_per_l=5)

    before, after = replay([unasked, reading])

    assert (before.acid_is_known, before.acid_g) == (False, 0)
    assert after.acid_is_known
    assert after.acid_g_per_l == pytest.approx(40, rel=0.25)


def test_a_titration_over_crystals_tells_of_the_liquid_alone():
    """2.5 kg of water hold 770 g of crystals beside 130 g of acid; 700 g more on the floor take up no acid."""
    over = replay([Mixed(day=0, water_l=2.5, salt_g=1450), AcidAdded(day=0, grams=130, percent=100)])[-1]
    liquid_l = over.liquid_l
    assert over.salt_g > 1.5 * over.running().held_g()

    told = AcidTitrated(day=0, g_per_l=over.acid_g / liquid_l, sd=0.5)
    after = replay([told], start=over)[-1]

    assert over.acid_g_per_l == pytest.approx(130 / liquid_l)
    assert liquid_l < 0.92 * over.volume_l
    # the reading says what the book thinks, and moves nothing
    assert (after.water_g, after.salt_g, after.acid_g) == pytest.approx((over.water_g, over.salt_g, over.acid_g))


def test_beside_acid_less_stays_dissolved():
    pure = replay([Adopted(day=0, volume_l=10, strength_g_per_l=270, volume_sd_l=0, strength_sd_g_per_l=0)])[-1]
    sour = replay([AcidAdded(day=0, grams=600, percent=96)], start=pure)[-1]

    dropped = [settle(bath, temperature_c=10).crystals_g for bath in (pure, sour)]

    assert dropped[1] > dropped[0] + 100


def test_a_top_up_of_a_sour_bath_comes_to_what_was_asked_for_and_tells_of_its_acid():
    sour = replay([SOUR])[-1]

    advice = top_up(sour, target_strength_g_per_l=230, target_volume_l=12, rim_l=15, coldest_c=15)

    assert (advice.strength_g_per_l, advice.volume_l) == pytest.approx((230, 12), rel=1e-6)
    assert advice.acid_g_per_l == pytest.approx(50 * 10 / 12, rel=1e-6)
    assert any("acid goes from 50 g/L to 42 g/L" in warning for warning in advice.warnings)
