import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.bath import figures
from chemistry.copper import deposition, electrolysis
from chemistry.copper.biting import read_by_meter
from chemistry.copper.efficiency import CATHODE, efficiency
from chemistry.measured import Measured
from chemistry.working import Figure, Working
from tests import sources
from tests.formulas import redo

HANDBOOK = sources.read("biting")["electrochemical_equivalent"]
CM2_PER_SQUARE_FOOT, UM_PER_MIL = 929.0304, 25.4
USUAL = efficiency([], CATHODE)


def read_once(charge_ah):
    return read_by_meter(charge_ah, "A·h")


charges = st.lists(st.builds(read_once, st.floats(0.01, 50)), min_size=1, max_size=30)


def all_of_it(sd=0.0):
    return Figure(value=1.0, unit="", working=Working(formula="", inputs=(), source="definition"), sd=sd)


def on_it(grams, sd=0.0):
    return Figure(value=grams, unit="g", working=Working(formula="", inputs=(), source="given"), sd=sd)


def redone(figure):
    return redo(figure.working.formula, {each.name: each.value for each in figure.working.inputs})


def test_an_ampere_hour_lays_down_what_the_handbook_says():
    laid = deposition.predicted(Measured(0, 0, "g"), [Measured(1.0, unit="A·h")], all_of_it())

    assert laid.value == pytest.approx(HANDBOOK["g_per_ah"], abs=HANDBOOK["g_per_ah_tolerance"])


def test_a_square_foot_grows_a_mil_thick_with_the_handbooks_charge():
    charge = Measured(HANDBOOK["ampere_hours_per_square_foot_and_mil"], unit="A·h")
    laid = deposition.predicted(Measured(0, 0, "g"), [charge], all_of_it())

    thick = deposition.thickness(laid, facing_cm2=CM2_PER_SQUARE_FOOT)

    share = HANDBOOK["ampere_hours_tolerance"] / HANDBOOK["ampere_hours_per_square_foot_and_mil"]
    assert thick.value == pytest.approx(UM_PER_MIL, rel=share)


@given(charges, charges)
def test_two_spells_of_biting_lay_down_what_one_long_one_does(first, second):
    earlier = deposition.predicted(Measured(3, 0.1, "g"), first, USUAL)

    later = deposition.predicted(Measured(earlier.value, 0, "g"), second, USUAL)

    whole = deposition.predicted(Measured(3, 0.1, "g"), [*first, *second], USUAL)
    assert later.value == pytest.approx(whole.value)


@given(charges)
def test_the_meters_own_error_never_evens_out(bites):
    figure = deposition.passed(bites)

    assert figure.sd >= 0.015 * figure.value
    assert figure.sd <= 1.01 * sum(charge.sd for charge in bites)


def test_the_spread_of_a_charge_covers_what_really_passed():
    """400 spells of 20 bites, each spell on a meter with an error of its own."""
    chance, inside = random.Random(7), 0
    for _ in range(400):
        meter = chance.gauss(1, 0.015)
        read = [chance.uniform(0.1, 3) for _ in range(20)]
        true = sum(ah * meter * chance.gauss(1, 0.1) for ah in read)
        figure = deposition.passed([read_once(ah) for ah in read])
        inside += abs(true - figure.value) <= figure.half_width

    assert 0.92 <= inside / 400 <= 0.98


def test_a_cathode_without_bites_keeps_what_lay_on_it():
    laid = deposition.predicted(Measured(5, 0.2, "g"), [], USUAL)

    assert (laid.value, laid.sd) == (5, 0.2)


def test_loose_powder_is_mostly_but_not_all_copper():
    copper = deposition.in_powder(10)

    assert 0 < copper.value - copper.half_width < copper.value + copper.half_width < 10


@given(st.floats(1, 2000), st.floats(10, 5000))
def test_a_thickness_and_its_grams_are_one_thing(thickness_um, facing_cm2):
    grams = deposition.grams_at_thickness(thickness_um, facing_cm2=facing_cm2)

    assert deposition.thickness(on_it(grams), facing_cm2=facing_cm2).value == pytest.approx(thickness_um)


@given(st.floats(1, 100), st.floats(5, 300), st.floats(50, 5000))
def test_a_loss_of_the_gap_and_its_grams_are_one_thing(percent, gap_mm, facing_cm2):
    grams = deposition.grams_at_gap_loss(percent, gap_mm=gap_mm, facing_cm2=facing_cm2)

    thick = deposition.thickness(on_it(grams), facing_cm2=facing_cm2)

    assert deposition.gap_loss(thick, gap_mm=gap_mm).value == pytest.approx(percent)


def test_the_advised_current_is_a_third_of_what_the_bath_can_bring():
    advised = deposition.most_current(facing_cm2=1000, strength_g_per_l=200)

    assert advised.value == pytest.approx(10 * electrolysis.cathode_limit_a_per_dm2(200) / 3)


def test_a_dried_out_bath_is_advised_on_as_the_strongest_of_the_tables():
    assert deposition.most_current(facing_cm2=500, strength_g_per_l=430).value == pytest.approx(
        deposition.most_current(facing_cm2=500, strength_g_per_l=400).value
    )


def test_the_next_strip_lies_inside_its_span_when_bites_come_by_chance():
    """300 studios with two bites a week: 60 days tell the rate, then the clock runs. The span is a little too wide."""
    chance, inside = random.Random(11), 0
    for _ in range(300):
        lately = [read_once(ah) for ah in _bites(chance, 60)]
        rate = deposition.rate(lately, days=60, efficiency=all_of_it())
        span = deposition.span_until(on_it(0.0), grams=20, rate=rate, days=60)
        days = _days_until(chance, 20)
        inside += span.earliest <= days <= (span.latest or float("inf"))

    assert 0.95 <= inside / 300 <= 1.0


def _bites(chance, days):
    return [chance.uniform(0.2, 2.5) for _ in range(int(days)) if chance.random() < 2 / 7]


def _days_until(chance, grams):
    days = 0
    while grams > 0:
        days += 1
        grams -= 1.185 * sum(_bites(chance, 1))
    return days


def test_a_cathode_past_its_weight_is_due_now():
    rate = deposition.rate([read_once(1.0)] * 9, days=30, efficiency=USUAL)

    span = deposition.span_until(on_it(30, 0.5), grams=20, rate=rate, days=30)

    assert (span.days, span.earliest) == (0, 0)


def test_a_cathode_in_a_bath_at_rest_is_never_due():
    rate = deposition.rate([], days=30, efficiency=USUAL)

    assert deposition.span_until(on_it(3), grams=20, rate=rate, days=30) is None


@pytest.mark.parametrize(
    "figure",
    [
        deposition.passed([read_once(1.0), read_once(2.5)]),
        deposition.predicted(Measured(2, 0.1, "g"), [read_once(3.0)], USUAL),
        deposition.in_powder(12),
        deposition.thickness(on_it(22), facing_cm2=900),
        deposition.gap_loss(deposition.thickness(on_it(22), facing_cm2=900), gap_mm=40),
        deposition.rate([read_once(1.0)] * 3, days=20, efficiency=USUAL),
        deposition.most_current(facing_cm2=900, strength_g_per_l=251),
    ],
    ids=lambda figure: figure.working.formula.partition(" ")[0],
)
def test_a_working_redone_gives_its_figure(figure):
    assert redone(figure) == pytest.approx(figure.value)


def test_the_working_of_a_span_redone_gives_its_days():
    rate = deposition.rate([read_once(1.0)] * 9, days=30, efficiency=USUAL)
    span = deposition.span_until(on_it(12, 0.5), grams=20, rate=rate, days=30)

    assert isinstance(span, figures.Span)
    assert redone(span) == pytest.approx(span.days)


@pytest.mark.parametrize(
    ("act", "refusal"),
    [
        (
            lambda: deposition.thickness(on_it(2), facing_cm2=0),
            "facing area must be between 0.01 and 100000 cm², not 0",
        ),
        (lambda: deposition.grams_at_thickness(0, facing_cm2=10), "thickness must be between 0.1 and 50000 µm, not 0"),
        (lambda: deposition.rate([], days=0, efficiency=USUAL), "days must be between 0.01 and 100000, not 0"),
        (
            lambda: deposition.grams_at_gap_loss(120, gap_mm=40, facing_cm2=10),
            "share of the gap must be between 0.1 and 100 %, not 120",
        ),
        (lambda: deposition.most_current(facing_cm2=10, strength_g_per_l=-1), "strength must be between 0 and 400 g/L"),
    ],
)
def test_nonsense_is_refused_with_its_range(act, refusal):
    with pytest.raises(ValueError, match=refusal):
        act()
