"""Stoichiometry of treatment against weights and gas data from elsewhere, and the warnings that go with it."""

import inspect
import re

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula

from chemistry import working
from chemistry.copper import electrolysis
from chemistry.waste import treatment
from chemistry.waste.treatment import METHODS, plan

FORMULAS = dict.fromkeys(function for figures in treatment.FIGURES.values() for function in figures.values())
KILOGRAM_OF_CRYSTALS = 1000 * Formula("Cu").mass / Formula("CuSO4(H2O)5").mass  # its copper
PERMITTED = "city waste office, by letter, 12 January 2026"
copper = st.floats(0.01, 10_000)


@pytest.mark.parametrize(
    ("function", "inputs", "for_each_copper"),
    [
        (treatment.soda_ash_g, {}, Formula("Na2CO3").mass),
        (treatment.soda_ash_g, {"ratio": 1.5}, 1.5 * Formula("Na2CO3").mass),
        (treatment.sodium_hydroxide_g, {}, 2 * Formula("NaOH").mass),
        (treatment.iron_g, {}, Formula("Fe").mass),
        (treatment.basic_carbonate_g, {}, Formula("Cu2(OH)2CO3").mass / 2),
        (treatment.copper_hydroxide_g, {}, Formula("Cu(OH)2").mass),
    ],
)
def test_masses_agree_with_molmass(function, inputs, for_each_copper):
    expected = for_each_copper / Formula("Cu").mass

    assert function(copper_g=1, **inputs) == pytest.approx(expected, rel=3e-5)


@pytest.mark.parametrize(
    ("function", "inputs", "grams"),
    [
        (treatment.soda_ash_g, {}, 424),
        (treatment.soda_ash_g, {"ratio": 1.5}, 637),
        (treatment.sodium_hydroxide_g, {}, 320),
        (treatment.basic_carbonate_g, {}, 443),
        (treatment.iron_g, {}, 224),
    ],
)
def test_a_kilogram_of_crystals_takes_what_was_worked_by_hand(function, inputs, grams):
    # from the reactions by hand, to a gram
    assert function(copper_g=KILOGRAM_OF_CRYSTALS, **inputs) == pytest.approx(grams, abs=1)


@pytest.mark.parametrize("temperature_c", [5, 20, 40])
def test_the_gas_agrees_with_the_equation_of_state_of_carbon_dioxide(temperature_c):
    # CoolProp, Span and Wagner: half a mole for each mole of copper, at 1 atm; an ideal gas is within 1 %
    kg_per_m3 = PropsSI("D", "T", temperature_c + 273.15, "P", 101_325, "CO2")
    litres = 0.5 * Formula("CO2").mass / kg_per_m3

    found = treatment.carbon_dioxide_l(copper_g=Formula("Cu").mass, temperature_c=temperature_c)

    assert found == pytest.approx(litres, rel=0.01)


@given(copper)
def test_the_carbon_of_the_soda_ash_is_found_in_the_gas_and_in_the_sludge(copper_g):
    soda_ash_mol = treatment.soda_ash_g(copper_g=copper_g) / 105.988
    gas_mol = treatment.carbon_dioxide_l(copper_g=copper_g, temperature_c=20) / 24.055  # R T / p at 20 °C
    sludge_mol = treatment.basic_carbonate_g(copper_g=copper_g) / 221.115

    assert gas_mol + sludge_mol == pytest.approx(soda_ash_mol, rel=1e-3)


@given(copper, st.floats(0.1, 1))
def test_the_charge_moves_the_copper_it_was_worked_out_for(copper_g, efficiency):
    charge_ah = treatment.plating_out_ah(copper_g=copper_g, efficiency=efficiency)

    assert electrolysis.copper_moved_g(charge_ah=charge_ah, efficiency=efficiency) == pytest.approx(copper_g)


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.__name__)
def test_every_formula_explains_itself(formula):
    explained = working.FORMULAS[formula]

    assert explained.unit in ("g", "L", "A·h", "°C")
    assert explained.text
    assert explained.source.endswith(".")
    assert list(explained.inputs) == list(inspect.signature(formula).parameters)


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.__name__)
def test_no_copper_takes_nothing(formula):
    (copper_input,) = [name for name in working.FORMULAS[formula].inputs if name.startswith("copper")]

    assert formula(**{copper_input: 0}) == 0


@pytest.mark.parametrize(
    ("function", "inputs", "sentence"),
    [
        (treatment.soda_ash_g, {"copper_g": -1}, "copper must be between 0 and 100000 g, not -1"),
        (treatment.soda_ash_g, {"copper_g": 1, "ratio": 0.9}, "soda ash for each copper must be between 1 and 1.5"),
        (treatment.soda_ash_g, {"copper_g": 1, "ratio": 2}, "soda ash for each copper must be between 1 and 1.5"),
        (treatment.carbon_dioxide_l, {"copper_g": 1, "temperature_c": 95}, "temperature must be between 0 and 60 °C"),
        (treatment.plating_out_ah, {"copper_g": 1, "efficiency": 0}, "efficiency must be between 0.05 and 1"),
        (treatment.plating_out_ah, {"copper_g": 1, "efficiency": 1.1}, "efficiency must be between 0.05 and 1"),
        (treatment.iron_g, {"copper_g": float("nan")}, "copper must be between"),
    ],
)
def test_what_cannot_be_is_refused(function, inputs, sentence):
    with pytest.raises(ValueError, match=sentence):
        function(**inputs)


# the plan


@pytest.mark.parametrize("method", METHODS)
def test_a_plan_needs_the_permission_of_somebody_on_record(method):
    with pytest.raises(ValueError, match="say who permitted this treatment"):
        plan(method, copper_g=100, permission="  ")

    assert plan(method, copper_g=100, permission=PERMITTED).permission == PERMITTED


@pytest.mark.parametrize("method", METHODS)
def test_a_plan_never_says_what_stays_in_the_water(method):
    figures = plan(method, copper_g=100, copper_g_per_l=50, permission=PERMITTED).figures

    assert {figure.unit for figure in figures.values()} <= {"g", "L", "A·h", "°C"}
    assert not any("mg" in figure.unit for figure in figures.values())
    assert "settle_test_follow" in {warning.id for warning in treatment.warnings(method)}


@pytest.mark.parametrize("method", METHODS)
def test_every_figure_of_a_plan_travels_with_its_working(method):
    for figure in plan(method, copper_g=100, copper_g_per_l=50, permission=PERMITTED).figures.values():
        assert figure.working.source
        assert figure.working.inputs[0].value == (50 if figure.unit == "°C" else 100)


# heat and gas


@pytest.mark.parametrize(
    ("function", "kj_per_mol"),
    [
        # NBS tables of chemical thermodynamic properties, 1982, from memory: Cu2+ 64.77, Fe2+ -89.1
        (treatment.warmed_by_iron_c, 64.77 + 89.1),
        # the same: Na+ -240.12, NaOH(s) -425.609, Cu(OH)2(s) -449.8
        (treatment.warmed_by_lye_c, 64.77 + 2 * 240.12 + 449.8 - 2 * 425.609),
    ],
)
def test_heat_agrees_with_another_table_and_with_the_heat_capacity_of_water(function, kj_per_mol):
    # of 250 g of crystals in a litre: about 992 g of water; CoolProp, IAPWS-95
    copper_g_per_l = 0.25 * KILOGRAM_OF_CRYSTALS
    litre_kj_per_k = 0.992 * PropsSI("C", "T", 298.15, "P", 101_325, "Water") / 1000
    expected = copper_g_per_l / Formula("Cu").mass * kj_per_mol / litre_kj_per_k

    assert function(copper_g_per_l=copper_g_per_l) == pytest.approx(expected, rel=0.03)
    # as the warnings say
    assert function(copper_g_per_l=copper_g_per_l) == pytest.approx(35, abs=2.5)


@pytest.mark.parametrize("method", ["iron", "sodium_hydroxide"])
def test_heat_is_left_out_where_nobody_knows_the_litres_and_the_warning_stays(method):
    told, untold = (plan(method, copper_g=100, copper_g_per_l=c, permission=PERMITTED) for c in (63.6, None))

    assert "warmer by, if all at once" in told.figures
    assert "warmer by, if all at once" not in untold.figures
    assert any("about 35 °C" in warned.text for warned in untold.warnings)


def test_every_mole_of_copper_leaves_a_mole_of_sulfuric_acid():
    expected = Formula("H2SO4").mass / Formula("Cu").mass

    assert treatment.sulfuric_acid_g(copper_g=1) == pytest.approx(expected, rel=3e-5)


def test_the_current_that_moves_no_copper_makes_hydrogen():
    charge_ah = treatment.plating_out_ah(copper_g=100, efficiency=0.5)
    # CoolProp, at 20 °C and 1 atm; half of the charge, two electrons for each molecule
    moles = 0.5 * charge_ah * 3600 / (2 * 96485.33)
    litres = moles * Formula("H2").mass / PropsSI("D", "T", 293.15, "P", 101_325, "Hydrogen")

    assert treatment.hydrogen_l(copper_g=100, efficiency=0.5) == pytest.approx(litres, rel=0.01)
    assert treatment.hydrogen_l(copper_g=100, efficiency=1) == 0


def test_a_plan_takes_what_its_figures_take():
    found = plan("soda_ash", copper_g=63.546, permission=PERMITTED, ratio=1.5, temperature_c=40)

    assert found.figures["soda ash"].value == pytest.approx(1.5 * 105.988)
    assert found.figures["carbon dioxide"].value == pytest.approx(12.8, abs=0.1)


@pytest.mark.parametrize(
    ("method", "given", "sentence"),
    [
        ("boiling", {}, "a treatment must be one of soda_ash, sodium_hydroxide, iron, plating_out, not 'boiling'"),
        ("iron", {"ratio": 2}, "cementation.* takes no ratio"),
    ],
)
def test_a_plan_nobody_can_work_out_is_refused(method, given, sentence):
    with pytest.raises(ValueError, match=sentence):
        plan(method, copper_g=1, permission=PERMITTED, **given)


# the warnings


@pytest.mark.parametrize(
    ("method", "warned_of"),
    [
        ("soda_ash", {"foam", "redissolves_carbonate", "held_back", "sludge_class", "keep_wet", "ph_after"}),
        (
            "sodium_hydroxide",
            {"heat", "heat_lye", "prefer_soda_ash", "redissolves_hydroxide", "keep_wet_hydroxide", "sludge_class"},
        ),
        ("iron", {"heat_iron", "slowly", "hydrogen", "copper_mud", "iron_liquid", "open_plastic"}),
        ("plating_out", {"turns_acid", "mist", "ventilate", "chlorine", "powder", "low_current"}),
    ],
)
def test_a_method_warns_of_what_could_hurt(method, warned_of):
    warned = {warning.id for warning in treatment.warnings(method)}

    assert warned_of | {"permission", "keep_the_bath", "settle_test_follow"} <= warned


def test_ammonia_and_citrate_are_named_as_what_hides_copper():
    text = next(warning.text for warning in treatment.warnings("soda_ash") if warning.id == "held_back")

    assert "Ammonia, citrate and vinegar" in text


def test_every_warning_belongs_to_a_method_and_says_how_it_is_known():
    warned = {warning for method in METHODS for warning in treatment.warnings(method)}

    assert {warning.id for warning in warned} == treatment.TABLES["warnings"].keys()
    assert {warning.grade for warning in warned} <= {
        "read",
        "secondary",
        "computed",
        "from memory",
        "ours",
        "common practice",
    }
    assert all(warning.text.endswith(".") for warning in warned)


def test_no_warning_promises_what_the_book_cannot_know():
    promise = re.compile(r"\b(safe|safely|legal|harmless|non-?toxic|clear)\b", re.IGNORECASE)

    assert [
        text for text in (entry["text"] for entry in treatment.TABLES["warnings"].values()) if promise.search(text)
    ] == []
