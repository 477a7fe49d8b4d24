import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.copper.biting import COPPER_G_PER_AH
from chemistry.copper.efficiency import ANODE, CATHODE, Weighed, efficiency
from chemistry.measured import Measured, by_scale
from tests.formulas import redo

USUAL = efficiency([], ANODE)


def weighed(*, charge_ah=6.0, ratio=1.03, half_width_g=0.1, charge_share=0.01):
    return Weighed(
        charge=Measured(charge_ah, charge_share * charge_ah, "A·h"),
        moved=by_scale(ratio * COPPER_G_PER_AH * charge_ah, half_width_g) - by_scale(0.0, half_width_g),
    )


@pytest.mark.parametrize(("expected", "low", "high"), [(ANODE, 1.00, 1.06), (CATHODE, 0.95, 1.00)])
def test_before_any_weighing_an_electrode_is_expected_to_do_as_electrodes_do(expected, low, high):
    figure = efficiency([], expected)

    assert figure.value - figure.half_width == pytest.approx(low, abs=0.001)
    assert figure.value + figure.half_width == pytest.approx(high, abs=0.001)


def test_weighings_draw_the_efficiency_towards_what_they_show():
    learned = efficiency([weighed(ratio=1.0)] * 4, ANODE)

    assert 1.0 < learned.value < 1.01
    assert learned.sd < USUAL.sd


@given(st.lists(st.floats(1.0, 1.06), min_size=1, max_size=10))
def test_every_weighing_narrows_the_spread(ratios):
    telling = [weighed(ratio=ratio) for ratio in ratios]

    assert efficiency(telling, ANODE).sd < efficiency(telling[1:], ANODE).sd


def test_a_plate_too_lightly_bitten_for_the_scale_teaches_nothing():
    assert efficiency([weighed(charge_ah=0.5, half_width_g=1.0, ratio=0.0)], ANODE) == USUAL


@pytest.mark.parametrize("ratio", [0.16, 2.5])
def test_a_wet_plate_or_swapped_figures_teach_nothing(ratio):
    assert efficiency([weighed(ratio=ratio)], ANODE).value == USUAL.value


def test_what_was_learned_covers_the_truth():
    """400 studios, each with its own true efficiency and six plates weighed on a 0.1 g scale."""
    chance, inside = random.Random(4), 0
    for _ in range(400):
        true = chance.gauss(ANODE.share.value, ANODE.share.sd)
        learned = efficiency([_measured(true, chance) for _ in range(6)], ANODE)
        inside += abs(learned.value - true) <= learned.half_width

    assert 0.92 <= inside / 400 <= 0.98


def _measured(true, chance):
    charge_ah = chance.uniform(1, 4)
    scale_sd = 0.1 / 1.96
    moved_g = true * COPPER_G_PER_AH * charge_ah * chance.gauss(1, 0.03) + chance.gauss(0, scale_sd * 2**0.5)
    return Weighed(
        charge=Measured(charge_ah, 0.03 * charge_ah, "A·h"), moved=by_scale(moved_g, 0.1) - by_scale(0.0, 0.1)
    )


@pytest.mark.parametrize(
    ("weighing", "verdict"),
    [
        (weighed(charge_ah=0.8, half_width_g=1.0, ratio=0.5), "too small to judge"),
        (weighed(charge_ah=12, half_width_g=1.0, ratio=0.96), "as predicted"),
        (weighed(charge_ah=2.1, half_width_g=0.1, ratio=0.16), "less than predicted"),
        (weighed(charge_ah=2.1, half_width_g=0.1, ratio=1.6), "more than predicted"),
    ],
)
def test_a_weighing_is_judged_within_its_errors(weighing, verdict):
    assert weighing.verdict(USUAL) == verdict


def test_the_working_redone_is_the_efficiency():
    figure = efficiency([weighed(ratio=1.01), weighed(ratio=1.05, charge_ah=2)], ANODE)

    redone = redo(figure.working.formula, {each.name: each.value for each in figure.working.inputs})

    assert redone == pytest.approx(figure.value)


def test_a_scale_without_an_error_is_refused():
    with pytest.raises(ValueError, match="half width of the scale must be between 0.0001 and 1000 g, not 0"):
        weighed(half_width_g=0)
