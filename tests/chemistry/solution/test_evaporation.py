import math

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.solution import evaporation, sulfate
from tests import sources

TABLES = sources.read("copper_sulfate")
CHECKS = sources.read("worked_checks")
TRAY = {"area_cm2": 600, "water_c": 20, "air_c": 20, "relative_humidity": 0.5}


def test_vapour_pressure_at_20_c_is_the_standards():
    check = CHECKS["saturation_pressure_20c"]

    assert evaporation.saturation_pressure_kpa(20) == pytest.approx(check["value"], abs=check["tolerance"])


@pytest.mark.parametrize("temperature_c", [0.01, 5, 10, 15, 20, 25, 30, 40, 50, 60])
def test_vapour_pressure_is_coolprops(temperature_c):
    expected = coolprop.PropsSI("P", "T", temperature_c + 273.15, "Q", 0, "Water") / 1000

    assert evaporation.saturation_pressure_kpa(temperature_c) == pytest.approx(expected, rel=0.001)


@pytest.mark.parametrize(("molality", "activity"), TABLES["water_activity_25c"]["rows"])
def test_water_activity_is_that_of_pitzers_equations(molality, activity):
    salt_g = molality * sulfate.ANHYDROUS_G_PER_MOL
    strength_g_per_l = sulfate.strength_g_per_l(salt_g / (1000 + salt_g), 20)

    assert evaporation.water_activity(strength_g_per_l) == pytest.approx(activity, abs=0.0006)


def test_water_leaves_pure_water_most_readily():
    assert evaporation.water_activity(0) == 1
    assert evaporation.water_activity(250) < evaporation.water_activity(100) < 1


def test_a_tray_left_open_in_a_room_at_half_humidity():
    check = CHECKS["evaporation_600_cm2_20c_50_percent"]

    assert evaporation.water_lost_g_per_day(**TRAY) == pytest.approx(check["value"], abs=check["tolerance"])


def test_a_tray_loses_what_an_independent_correlation_says():
    check = CHECKS["evaporation_600_cm2_20c_50_percent_otherwise"]

    assert evaporation.water_lost_g_per_day(**TRAY) == pytest.approx(check["value"], abs=check["tolerance"])


@pytest.mark.parametrize("water_c", [5, 20, 40])
def test_the_same_equation_with_coolprops_latent_heat_and_pressures(water_c):
    kelvin = water_c + 273.15
    latent_kj = (
        coolprop.PropsSI("H", "T", kelvin, "Q", 1, "Water") - coolprop.PropsSI("H", "T", kelvin, "Q", 0, "Water")
    ) / 1000
    pull_kpa = 0.5 * coolprop.PropsSI("P", "T", kelvin, "Q", 0, "Water") / 1000
    expected = 86400 * 0.5 * pull_kpa * 0.089 / latent_kj * 0.06 * 1000

    lost = evaporation.water_lost_g_per_day(area_cm2=600, water_c=water_c, air_c=water_c, relative_humidity=0.5)

    assert lost == pytest.approx(expected, rel=0.002)


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_drier_room_takes_more_water(one, other):
    dry, moist = sorted((one, other))

    in_dry_room = evaporation.water_lost_g_per_day(**TRAY | {"relative_humidity": dry})
    in_moist_room = evaporation.water_lost_g_per_day(**TRAY | {"relative_humidity": moist})

    assert in_dry_room >= in_moist_room >= 0


def test_a_draught_a_warmer_bath_and_a_wider_tray_take_more_water():
    still = evaporation.water_lost_g_per_day(**TRAY)

    assert evaporation.water_lost_g_per_day(**TRAY, air_speed_m_per_s=0.5) > still
    assert evaporation.water_lost_g_per_day(**TRAY | {"water_c": 25}) > still
    assert evaporation.water_lost_g_per_day(**TRAY | {"area_cm2": 1200}) == pytest.approx(2 * still)


def test_a_salty_bath_loses_less_than_pure_water():
    salty = evaporation.water_lost_g_per_day(**TRAY, water_activity=evaporation.water_activity(250))

    assert 0.9 < salty / evaporation.water_lost_g_per_day(**TRAY) < 1


def test_what_condenses_onto_a_cold_bath_is_not_counted():
    assert evaporation.water_lost_g_per_day(area_cm2=600, water_c=10, air_c=25, relative_humidity=0.9) == 0


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"relative_humidity": 50}, "relative humidity must be between 0 and 1, not 50"),
        ({"area_cm2": -1}, "surface must be between 0 and 1000000 cm², not -1"),
        ({"water_c": 80}, "water temperature must be between -20 and 60 °C, not 80"),
        ({"air_c": math.nan}, "air temperature must be between -20 and 60 °C, not nan"),
        ({"water_activity": 1.2}, "water activity must be between 0 and 1, not 1.2"),
        ({"activity_factor": 3}, "activity factor must be between 0 and 2, not 3"),
        ({"air_speed_m_per_s": -0.1}, "air speed must be between 0 and 5 m/s, not -0.1"),
    ],
)
def test_a_room_that_cannot_be_is_refused(wrong, sentence):
    with pytest.raises(ValueError) as refusal:
        evaporation.water_lost_g_per_day(**TRAY | wrong)

    assert str(refusal.value) == sentence


def test_a_strength_no_bath_has_is_refused():
    with pytest.raises(ValueError, match="strength must be between 0 and 400 g/L, not 500"):
        evaporation.water_activity(500)
