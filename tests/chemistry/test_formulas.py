import inspect

import pytest

from chemistry.copper import electrolysis, gauges
from chemistry.solution import evaporation, sulfate, sulfuric
from chemistry.waste import treatment
from chemistry.working import FORMULAS, work_out

NO_FORMULAS = {
    sulfate.caution,
    sulfate.caution_of_input,
    sulfate.caution_of_result,
    sulfate.density_and_slope,
    sulfate.density_sd_g_per_ml,
    sulfuric.acid_within,
    sulfuric.caution,
    sulfuric.caution_of_input,
    sulfuric.specific_volume,
    gauges.thickness_um,
    gauges.written,
}


@pytest.mark.parametrize("module", [sulfate, sulfuric, evaporation, electrolysis, gauges])
def test_every_function_of_a_module_of_formulas_declares_its_own(module):
    functions = {
        function
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    }

    assert functions - NO_FORMULAS - FORMULAS.keys() == set()


def test_every_formula_explains_itself():
    assert set(treatment.FIGURES["soda_ash"].values()) <= FORMULAS.keys()
    for function, formula in FORMULAS.items():
        said = f"{function.__module__}.{function.__name__}"

        assert formula.text, said
        assert formula.source.endswith("."), said
        assert list(formula.inputs) == list(inspect.signature(function).parameters), said
        assert function.__doc__.strip().splitlines()[0].endswith(f". [{formula.unit}]"), said
        assert ">>> " in function.__doc__, said


def test_a_figure_travels_with_its_working():
    figure = work_out(sulfate.conductivity_ms_per_cm, mass_fraction=0.1, temperature_c=20)

    assert figure.value == sulfate.conductivity_ms_per_cm(0.1, 20)
    assert figure.unit == "mS/cm"
    assert figure.working.formula.startswith("κ = exp(")
    assert [(given.name[0], given.value, given.unit) for given in figure.working.inputs] == [
        ("w", 0.1, "-"),
        ("t", 20, "°C"),
    ]
    assert figure.working.spread == "±10 %."
    assert "CRC Handbook" in figure.working.source


def test_inputs_left_at_their_usual_value_are_shown_too():
    figure = work_out(electrolysis.copper_moved_g, charge_ah=2)

    assert [(given.value, given.unit) for given in figure.working.inputs] == [(2, "A·h"), (1.0, "-")]


@pytest.mark.parametrize(
    ("formula", "inputs", "cautious"),
    [
        (sulfate.density_g_per_ml, {"mass_fraction": 0.1, "temperature_c": 20}, False),
        (sulfate.density_g_per_ml, {"mass_fraction": 0.1, "temperature_c": 5}, True),
        (sulfate.density_g_per_ml, {"mass_fraction": 0.2, "temperature_c": 20}, True),
        (sulfate.mass_fraction_from_sg, {"sg": 1.1, "temperature_c": 20}, False),
        (sulfate.mass_fraction_from_sg, {"sg": 1.25, "temperature_c": 20}, True),
        (sulfate.solubility_mass_fraction, {"temperature_c": 5}, False),
    ],
)
def test_a_figure_beyond_what_was_checked_carries_its_caution(formula, inputs, cautious):
    assert (work_out(formula, **inputs).working.caution is not None) is cautious


def test_a_bath_that_freezes_first_has_no_figure_for_crystals():
    with pytest.raises(ValueError, match="crystals_below_c has no figure"):
        work_out(sulfate.crystals_below_c, mass_fraction=0.05)
