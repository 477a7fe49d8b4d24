import math

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from thermo.electrochem import Laliberte_density

from chemistry.solution import sulfate
from tests import sources

TABLES = sources.read("copper_sulfate")
CHECKS = sources.read("worked_checks")
CONCENTRATIVE = TABLES["concentrative_20c"]["rows"]

mass_fractions = st.floats(0, sulfate.HIGHEST_MASS_FRACTION)
temperatures = st.floats(sulfate.COLDEST_C, sulfate.WARMEST_C)


def mass_fraction_from_molality(molality: float) -> float:
    salt_g = molality * sulfate.ANHYDROUS_G_PER_MOL
    return salt_g / (1000 + salt_g)


@pytest.mark.parametrize(
    ("constant", "formula"),
    [
        (sulfate.COPPER_G_PER_MOL, "Cu"),
        (sulfate.ANHYDROUS_G_PER_MOL, "CuSO4"),
        (sulfate.BLUE_CRYSTALS_G_PER_MOL, "CuSO4(H2O)5"),
    ],
)
def test_molar_masses_are_those_of_molmass(constant, formula):
    assert constant == pytest.approx(Formula(formula).mass, abs=0.0015)


def test_copper_in_a_bath_of_200_g_per_l():
    check = CHECKS["copper_in_200_g_per_l"]

    copper_g_per_l = 200 * sulfate.COPPER_PER_BLUE

    assert copper_g_per_l == pytest.approx(check["value"], abs=check["tolerance"])


def test_water_is_as_dense_as_the_standard_says():
    check = CHECKS["density_of_water_20c"]

    assert sulfate.water_density_g_per_ml(20) == pytest.approx(check["value"], abs=check["tolerance"])


@pytest.mark.parametrize("temperature_c", [0.01, 5, 10, 15.56, 20, 25, 30, 40, 50, 60])
def test_water_is_as_dense_as_coolprop_says(temperature_c):
    expected = coolprop.PropsSI("D", "T", temperature_c + 273.15, "P", 101325, "Water") / 1000

    assert sulfate.water_density_g_per_ml(temperature_c) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(("mass_percent", "density"), [(row[0], row[3]) for row in CONCENTRATIVE])
def test_density_at_20_c_is_the_handbooks(mass_percent, density):
    assert sulfate.density_g_per_ml(mass_percent / 100, 20) == pytest.approx(density, abs=0.002)


@pytest.mark.parametrize(("mass_percent", "density"), TABLES["density_18c"]["rows"])
def test_density_at_18_c_is_the_laboratory_tables(mass_percent, density):
    # the density's own spread, and half of the table's last digit
    assert sulfate.density_g_per_ml(mass_percent / 100, 18) == pytest.approx(density, abs=0.002 + 0.0005)


@pytest.mark.parametrize(("molality", "density"), TABLES["density_25c"]["rows"])
def test_density_at_25_c_is_that_of_the_modern_fit(molality, density):
    assert sulfate.density_g_per_ml(mass_fraction_from_molality(molality), 25) == pytest.approx(density, abs=0.001)


@pytest.mark.parametrize("temperature_c", [10, 20, 25, 40, 60])
@pytest.mark.parametrize("mass_fraction", [0.001, 0.02, 0.05, 0.1, 0.15, 0.2, 0.28])
def test_density_is_lalibertes_as_thermo_works_it_out(mass_fraction, temperature_c):
    expected = Laliberte_density(temperature_c + 273.15, [mass_fraction], ["7758-98-7"]) / 1000

    assert sulfate.density_g_per_ml(mass_fraction, temperature_c) == pytest.approx(expected, abs=1e-9)


def test_density_passes_smoothly_through_the_pole_of_the_published_form():
    pole = CHECKS["density_at_the_pole"]
    w, t = pole["mass_fraction"], pole["temperature_c"]

    below, at, above = (sulfate.density_g_per_ml(w + step, t) for step in (-1e-6, 0, 1e-6))

    assert at == pytest.approx(pole["value"], abs=pole["tolerance"])
    assert above - at == pytest.approx(at - below, rel=1e-4)


@given(mass_fractions, temperatures)
def test_slope_is_the_derivative_of_the_density(w, t):
    step = 1e-5
    low, high = max(w - step, 0), min(w + step, sulfate.HIGHEST_MASS_FRACTION)

    steepness = (sulfate.density_g_per_ml(high, t) - sulfate.density_g_per_ml(low, t)) / (high - low)

    assert sulfate.density_slope((low + high) / 2, t) == pytest.approx(steepness, rel=1e-6)


@given(mass_fractions, mass_fractions, temperatures)
def test_more_salt_makes_a_denser_and_stronger_bath(one, other, t):
    weak, strong = sorted((one, other))

    assert sulfate.density_g_per_ml(weak, t) <= sulfate.density_g_per_ml(strong, t)
    assert sulfate.strength_g_per_l(weak, t) <= sulfate.strength_g_per_l(strong, t)


@given(mass_fractions, temperatures)
def test_mass_fraction_comes_back_from_density_strength_and_hydrometer(w, t):
    assert sulfate.mass_fraction_from_density(sulfate.density_g_per_ml(w, t), t) == pytest.approx(w, abs=1e-12)
    assert sulfate.mass_fraction_from_strength(sulfate.strength_g_per_l(w, t), t) == pytest.approx(w, abs=1e-12)
    assert sulfate.mass_fraction_from_sg(sulfate.sg(w, t), t) == pytest.approx(w, abs=1e-12)


@pytest.mark.parametrize(("mass_percent", "molarity"), [(row[0], row[2]) for row in CONCENTRATIVE])
def test_strength_is_the_handbooks_molarity_in_blue_crystals(mass_percent, molarity):
    expected = molarity * sulfate.BLUE_CRYSTALS_G_PER_MOL

    # 0.002 g/mL of density, and half the last digit of the molarity
    tolerance = 0.002 / 1.1 * expected + 0.0005 * sulfate.BLUE_CRYSTALS_G_PER_MOL
    assert sulfate.strength_g_per_l(mass_percent / 100, 20) == pytest.approx(expected, abs=tolerance)


def test_mass_fraction_of_a_bath_of_125_g_per_l():
    check = CHECKS["mass_fraction_of_125_g_per_l"]

    assert sulfate.mass_fraction_from_strength(125, 20) == pytest.approx(check["value"], abs=check["tolerance"])


def test_crystals_stirred_into_a_litre_of_water_make_more_than_a_litre():
    check = CHECKS["crystals_100_g_in_a_litre_of_water"]
    mass_g = 100 + 1000 * sulfate.water_density_g_per_ml(20)
    w = 100 * sulfate.ANHYDROUS_PER_BLUE / mass_g

    volume_l = mass_g / sulfate.density_g_per_ml(w, 20) / 1000

    assert sulfate.strength_g_per_l(w, 20) == pytest.approx(check["strength_g_per_l"], abs=check["strength_tolerance"])
    assert volume_l == pytest.approx(check["volume_l"], abs=check["volume_tolerance"])


def mass_kg(volume_l: float, strength_g_per_l: float) -> float:
    return volume_l * sulfate.density_g_per_ml(sulfate.mass_fraction_from_strength(strength_g_per_l, 20), 20)


def test_water_that_makes_ten_litres_of_150_g_per_l():
    check = CHECKS["water_for_10_l_at_150_g_per_l"]

    assert mass_kg(10, 150) - 1.5 == pytest.approx(check["value"], abs=check["tolerance"])


def test_water_that_tops_a_bath_up_beside_the_crystals():
    check = CHECKS["water_to_bring_8_5_l_at_120_to_10_l_at_150_g_per_l"]
    crystals_kg = (10 * 150 - 8.5 * 120) / 1000

    assert mass_kg(10, 150) - mass_kg(8.5, 120) - crystals_kg == pytest.approx(check["value"], abs=check["tolerance"])


def test_a_bath_that_dries_by_a_kilogram_loses_a_litre_and_keeps_its_salt():
    check = CHECKS["bath_10_l_at_150_g_per_l_less_1_kg_water"]
    left_kg = mass_kg(10, 150) - 1
    w = 1.5 * sulfate.ANHYDROUS_PER_BLUE / left_kg

    volume_l = left_kg / sulfate.density_g_per_ml(w, 20)

    assert volume_l == pytest.approx(check["volume_l"], abs=check["volume_tolerance"])
    assert 1500 / volume_l == pytest.approx(check["strength_g_per_l"], abs=check["strength_tolerance"])


def test_hydrometer_reading_of_a_bath_of_150_g_per_l():
    check = CHECKS["sg_of_150_g_per_l"]
    w = sulfate.mass_fraction_from_strength(150, 20)

    assert sulfate.sg(w, 20) == pytest.approx(check["value"], abs=check["tolerance"])


@pytest.mark.parametrize("check", CHECKS["strength_of_sg"], ids=lambda check: f"{check['temperature_c']} °C")
def test_strength_from_a_hydrometer_reading(check):
    w = sulfate.mass_fraction_from_sg(check["sg"], check["temperature_c"])

    strength = sulfate.strength_g_per_l(w, check["temperature_c"])

    assert strength == pytest.approx(check["value"], abs=check["tolerance"])


def test_strength_from_a_reading_of_15_degrees_baume_at_60_f():
    check = CHECKS["strength_of_15_baume"]
    sixty_f = 15.56

    w = sulfate.mass_fraction_from_sg(sulfate.sg_from_baume(15), sixty_f, reference_c=sixty_f)

    assert sulfate.strength_g_per_l(w, sixty_f) == pytest.approx(check["value"], abs=check["tolerance"])


def test_a_hydrometer_for_60_f_reads_lower_than_one_for_20_c():
    assert sulfate.sg(0.1, 20, reference_c=15.56) < sulfate.sg(0.1, 20, reference_c=20)


@given(st.floats(0, 72))
def test_baume_comes_back_from_specific_gravity(baume):
    assert sulfate.baume_from_sg(sulfate.sg_from_baume(baume)) == pytest.approx(baume, abs=1e-9)


@pytest.mark.parametrize(("temperature_c", "mass_percent"), TABLES["solubility_mass_percent"]["rows"])
def test_solubility_is_the_handbooks_mass_percent(temperature_c, mass_percent):
    tolerance = 0.04 if temperature_c <= 50 else 0.07

    assert 100 * sulfate.solubility_mass_fraction(temperature_c) == pytest.approx(mass_percent, abs=tolerance)


@pytest.mark.parametrize(("temperature_c", "molality"), TABLES["solubility_molality"]["rows"])
def test_solubility_is_the_handbooks_molality(temperature_c, molality):
    expected = mass_fraction_from_molality(molality)

    assert sulfate.solubility_mass_fraction(temperature_c) == pytest.approx(expected, abs=0.0004)


@pytest.mark.parametrize(("temperature_c", "strength_g_per_l"), CHECKS["saturated_g_per_l"]["rows"])
def test_strength_of_a_saturated_bath(temperature_c, strength_g_per_l):
    saturated = sulfate.strength_g_per_l(sulfate.solubility_mass_fraction(temperature_c), temperature_c)

    assert saturated == pytest.approx(strength_g_per_l, abs=CHECKS["saturated_g_per_l"]["tolerance"])


@pytest.mark.parametrize(("strength_g_per_l", "temperature_c"), CHECKS["crystals_below_c"]["rows"])
def test_temperature_below_which_a_bath_drops_crystals(strength_g_per_l, temperature_c):
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, 20)

    assert sulfate.crystals_below_c(w) == pytest.approx(temperature_c, abs=CHECKS["crystals_below_c"]["tolerance"])


@given(st.floats(0, 58))
def test_a_bath_saturated_at_a_temperature_drops_crystals_below_it(temperature_c):
    saturated = sulfate.solubility_mass_fraction(temperature_c)

    assert sulfate.crystals_below_c(saturated) == pytest.approx(temperature_c, abs=1e-9)


@given(mass_fractions)
def test_crystals_come_first_only_where_they_come_before_ice(w):
    crystals_c = sulfate.crystals_below_c(w)

    if crystals_c is None:
        assert sulfate.solubility_mass_fraction(sulfate.freezing_point_c(w)) >= w
    else:
        assert crystals_c >= 0 or crystals_c >= sulfate.freezing_point_c(w)


def test_a_bath_weaker_than_216_g_per_l_freezes_to_ice_first():
    assert sulfate.crystals_below_c(sulfate.mass_fraction_from_strength(214, 20)) is None
    assert sulfate.crystals_below_c(sulfate.mass_fraction_from_strength(218, 20)) is not None


@pytest.mark.parametrize(("mass_percent", "depression_c"), [(row[0], row[5]) for row in CONCENTRATIVE if len(row) > 5])
def test_freezing_point_is_the_handbooks(mass_percent, depression_c):
    assert sulfate.freezing_point_c(mass_percent / 100) == pytest.approx(-depression_c, abs=0.03)


@pytest.mark.parametrize(("mass_percent", "index"), [(row[0], row[4]) for row in CONCENTRATIVE])
def test_refractive_index_is_the_handbooks(mass_percent, index):
    assert sulfate.refractive_index(mass_percent / 100) == pytest.approx(index, abs=0.0001)


@pytest.mark.parametrize(("mass_percent", "conductivity"), TABLES["conductivity_20c"]["rows"])
def test_conductivity_is_the_handbooks(mass_percent, conductivity):
    assert sulfate.conductivity_ms_per_cm(mass_percent / 100, 20) == pytest.approx(conductivity, rel=0.02)


def test_a_warmer_bath_conducts_better():
    assert sulfate.conductivity_ms_per_cm(0.1, 25) == pytest.approx(1.1 * sulfate.conductivity_ms_per_cm(0.1, 20))


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda: sulfate.density_g_per_ml(0.3, 20), "mass fraction must be between 0 and 0.284, not 0.3"),
        (lambda: sulfate.density_g_per_ml(-0.01, 20), "mass fraction must be between 0 and 0.284, not -0.01"),
        (lambda: sulfate.density_g_per_ml(math.nan, 20), "mass fraction must be between 0 and 0.284, not nan"),
        (lambda: sulfate.density_g_per_ml(0.1, 68), "temperature must be between -1.5 and 60 °C, not 68"),
        (lambda: sulfate.density_g_per_ml(0.1, math.nan), "temperature must be between -1.5 and 60 °C, not nan"),
        (
            lambda: sulfate.mass_fraction_from_density(0.9, 20),
            "density must be between 0.998204 and 1.34312 g/mL, not 0.9",
        ),
        (lambda: sulfate.mass_fraction_from_strength(700, 20), "strength must be between 0 and 596.721 g/L, not 700"),
        (lambda: sulfate.mass_fraction_from_strength(-1, 20), "strength must be between 0 and 596.721 g/L, not -1"),
        (lambda: sulfate.mass_fraction_from_sg(1.4, 20), "specific gravity must be between 1 and 1.34554, not 1.4"),
        (lambda: sulfate.sg(0.1, 20, reference_c=80), "temperature must be between -1.5 and 60 °C, not 80"),
        (lambda: sulfate.sg_from_baume(145), "Baumé reading must be between 0 and 72.5 °Bé, not 145"),
        (lambda: sulfate.baume_from_sg(0.99), "specific gravity must be between 1 and 2, not 0.99"),
        (lambda: sulfate.solubility_mass_fraction(61), "temperature must be between -1.5 and 60 °C, not 61"),
        (lambda: sulfate.crystals_below_c(0.5), "mass fraction must be between 0 and 0.284, not 0.5"),
        (lambda: sulfate.freezing_point_c(0.15), "mass fraction must be between 0 and 0.14, not 0.15"),
        (lambda: sulfate.refractive_index(0.2), "mass fraction must be between 0 and 0.18, not 0.2"),
        (lambda: sulfate.conductivity_ms_per_cm(0, 20), "mass fraction must be between 0.005 and 0.18, not 0"),
        (lambda: sulfate.conductivity_ms_per_cm(0.1, 50), "temperature must be between 0 and 40 °C, not 50"),
    ],
)
def test_what_lies_outside_a_formula_is_refused_with_its_range(refused, sentence):
    with pytest.raises(ValueError) as refusal:
        refused()

    assert str(refusal.value) == sentence


def test_a_figure_beyond_the_checked_tables_carries_a_caution():
    assert sulfate.caution(0.18, 18) is None
    assert sulfate.caution(0.18, 25) is None
    assert "not at 30 °C" in sulfate.caution(0.1, 30)
    assert "not at 20 %" in sulfate.caution(0.2, 20)
