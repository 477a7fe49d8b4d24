from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import bath
from chemistry.bath import Adopted, BathState, DensityRead, DryingRate, Mixed, figures
from chemistry.solution import sulfate
from tests.formulas import redo

A_HAIR_G = 0.01


def open_tank(*, volume_l: float = 12, strength_g_per_l: float = 250, g_per_day: float = 40) -> BathState:
    adopted = Adopted(
        day=0, volume_l=volume_l, strength_g_per_l=strength_g_per_l, volume_sd_l=0.1, strength_sd_g_per_l=3
    )
    return bath.replay([adopted, DryingRate(day=0, g_per_day=g_per_day)])[-1]


FIGURES = {
    "copper": figures.copper,
    "crystals at 5 °C": lambda state: figures.crystals_at(state, 5),
    "liquid at 5 °C": lambda state: figures.liquid_strength_at(state, 5),
    "crystals below": figures.crystals_below,
    "drying": figures.drying,
    "Baumé": figures.baume,
    "hydrometer": figures.hydrometer_error,
    "filled to the mark": lambda state: figures.strength_filled_to(state, 12.6),
    "strength": bath.strength,
    "volume": bath.volume,
}
OF_WATER_AND_SALT = sorted(set(FIGURES) - {"drying", "hydrometer", "liquid at 5 °C"})


def inputs_of(working) -> dict[str, float]:
    return {each.name: each.value for each in working.inputs}


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_can_be_redone_from_its_working(name):
    figure = FIGURES[name](bath.forecast(open_tank(strength_g_per_l=262), days=9))

    assert redo(figure.working.formula, inputs_of(figure.working)) == pytest.approx(figure.value, rel=1e-9, abs=1e-12)


def test_the_days_left_can_be_redone_from_their_working():
    span = figures.span_until(open_tank(), strength_g_per_l=260)

    assert redo(span.working.formula, inputs_of(span.working)) == pytest.approx(span.days)


@pytest.mark.parametrize("name", OF_WATER_AND_SALT)
def test_a_spread_is_that_of_water_and_salt_carried_through_the_formula(name):
    state = open_tank(strength_g_per_l=262)
    (ww, ws, *_), (_, ss, *_), *_ = state.covariance

    by_water = slope(FIGURES[name], state, "water_g")
    by_salt = slope(FIGURES[name], state, "salt_g")

    variance = by_water**2 * ww + 2 * by_water * by_salt * ws + by_salt**2 * ss
    assert FIGURES[name](state).sd == pytest.approx(variance**0.5, rel=1e-3)


def slope(figure, state: BathState, mass: str) -> float:
    """By differences, not by the slopes under test."""
    before, after = (replace(state, **{mass: getattr(state, mass) + step}) for step in (-A_HAIR_G, A_HAIR_G))
    return (figure(after).value - figure(before).value) / (2 * A_HAIR_G)


def test_a_bath_of_250_g_per_l_holds_63_6_g_of_copper_in_a_litre():
    state = open_tank(volume_l=1, strength_g_per_l=250)

    # molar masses, IUPAC 2021: 250 × 63.546 / 249.686
    assert figures.copper(state).value == pytest.approx(63.63, abs=0.01)


def test_at_the_temperature_named_the_first_crystals_lie_on_the_floor():
    state = open_tank(strength_g_per_l=262)
    below_c = figures.crystals_below(state).value

    assert figures.crystals_at(state, below_c).value == pytest.approx(0, abs=0.01)
    assert figures.crystals_at(state, below_c - 1).value > 10


def test_in_a_weak_bath_ice_comes_first():
    assert figures.crystals_below(open_tank(strength_g_per_l=150)) is None


def test_a_bath_dried_almost_to_salt_still_has_its_figures():
    state = bath.forecast(open_tank(), days=300)

    assert figures.crystals_below(state).value == pytest.approx(58, abs=3)
    assert figures.baume(state).value > 30


@given(strength=st.floats(255, 300), g_per_day=st.floats(5, 200))
def test_after_the_days_named_the_bath_has_dried_to_the_strength(strength, g_per_day):
    state = open_tank(g_per_day=g_per_day)

    days = figures.span_until(state, strength_g_per_l=strength).days

    assert bath.forecast(state, days=days).strength_g_per_l == pytest.approx(strength, rel=1e-6)


def test_a_bath_under_its_lid_never_dries_to_a_strength():
    assert figures.span_until(open_tank(g_per_day=0), strength_g_per_l=260) is None


def test_a_bath_that_is_there_already_takes_no_days():
    span = figures.span_until(open_tank(strength_g_per_l=270), strength_g_per_l=260)

    assert span.days == span.earliest == 0


def test_while_the_room_is_unknown_the_last_day_stays_open():
    assert figures.span_until(open_tank(), strength_g_per_l=260).latest is None


def test_a_room_that_is_known_gives_a_last_day():
    variances = list(open_tank().variances)
    variances[9] = 0.1**2  # of the drying factor
    known = replace(open_tank(), variances=tuple(variances))

    span = figures.span_until(known, strength_g_per_l=270)

    assert span.earliest < span.days < span.latest


def test_a_hydrometer_that_always_reads_high_is_found_out():
    readings = [
        DensityRead(day=day, sg=sulfate.sg(sulfate.mass_fraction_from_strength(247, 20), 20) + 0.003)
        for day in range(1, 9)
    ]
    mixed = Mixed(day=0, water_l=11, salt_g=3000, water_sd_l=0.01, salt_sd_g=1)

    error = figures.hydrometer_error(bath.replay([mixed, *readings])[-1])

    assert error.value > 3
    assert error.value - error.half_width > 0
