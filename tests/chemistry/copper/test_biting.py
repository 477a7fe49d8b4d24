import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.copper import biting, electrolysis
from chemistry.copper.biting import BiteRecipe, Gap
from chemistry.copper.efficiency import ANODE, efficiency
from chemistry.measured import Measured
from chemistry.working import Figure, Working
from tests import sources
from tests.formulas import redo

CHECKS = sources.read("biting")
EQUIVALENT = CHECKS["electrochemical_equivalent"]
SQUARE_FOOT_CM2, MIL_UM = 929.03, 25.4

PERFECT = Figure(value=1.0, unit="", working=Working(formula="", inputs=(), source="definition"), sd=0.0)
USUAL = efficiency([], ANODE)

currents = st.floats(0.01, 20)
looks = st.lists(st.tuples(st.floats(0, 60), currents), min_size=1, max_size=8).map(sorted)


def charge_of(*readings, minutes, gap=None):
    return biting.charge(readings, minutes=minutes, gap=gap).value


def density(a_per_dm2, sd=0.0):
    return Figure(value=a_per_dm2, unit="A/dm²", working=PERFECT.working, sd=sd)


@pytest.mark.parametrize("check", CHECKS["copper_moved"], ids=lambda check: check["source"].split(",")[0])
def test_copper_moved_is_a_textbooks(check):
    charge = biting.charge([(0, check["current_a"])], minutes=check["minutes"])

    assert biting.copper(charge, PERFECT).value == pytest.approx(check["mass_g"], rel=check["tolerance_share"])


def test_an_ampere_hour_is_a_handbooks():
    expected = pytest.approx(EQUIVALENT["g_per_ah"], abs=EQUIVALENT["g_per_ah_tolerance"])

    assert expected == biting.COPPER_G_PER_AH


def test_a_mil_off_a_square_foot_takes_a_handbooks_ampere_hours():
    charge = biting.counted_charge(EQUIVALENT["ampere_hours_per_square_foot_and_mil"])

    depth = biting.depth(charge, PERFECT, exposed=Measured(SQUARE_FOOT_CM2, 0, "cm²"))

    share = EQUIVALENT["ampere_hours_tolerance"] / charge.value
    assert depth.value == pytest.approx(MIL_UM, rel=share)


def test_the_resistance_of_a_column_of_solution_is_a_textbooks():
    check = CHECKS["column_of_solution"]

    ohm = electrolysis.cell_resistance_ohm(
        conductivity_ms_per_cm=1000 * check["conductivity_s_per_cm"],
        gap_cm=check["length_cm"],
        area_cm2=check["area_cm2"],
    )

    assert ohm == pytest.approx(check["resistance_ohm"], rel=check["tolerance_share"])


def test_a_single_reading_holds_for_the_whole_bite():
    assert charge_of((1, 1.2), minutes=30) == pytest.approx(0.6)


def test_the_first_reading_holds_back_and_the_last_one_on():
    assert charge_of((10, 1.0), (20, 2.0), minutes=40) == pytest.approx((10 + 15 + 40) / 60)


def test_readings_taken_after_the_current_was_off_do_not_count():
    assert charge_of((10, 1.0), (45, 0.0), minutes=30) == pytest.approx(0.5)


def test_a_bite_that_nobody_read_has_no_charge_to_tell():
    with pytest.raises(ValueError, match="needs at least one reading"):
        biting.charge([], minutes=30)


def test_in_a_power_cut_nothing_is_moved():
    assert charge_of((1, 1.2), minutes=30, gap=Gap(begins_min=10, ends_min=25)) == pytest.approx(1.2 * 15 / 60)


def test_a_cut_that_outlasts_the_bite_ends_it():
    assert charge_of((1, 1.2), minutes=30, gap=Gap(begins_min=10, ends_min=90)) == pytest.approx(1.2 * 10 / 60)


def test_a_current_that_drifts_goes_on_where_it_was_when_the_power_comes_back():
    assert charge_of((0, 1.0), (30, 2.0), minutes=30, gap=Gap(begins_min=12, ends_min=18)) == pytest.approx(
        (30 * 1.5 - 6 * 1.5) / 60
    )


@given(looks, st.floats(61, 600), st.floats(0, 0.98), st.floats(0.01, 1))
def test_a_cut_takes_away_no_more_than_ran_before(readings, minutes, begins, longer):
    gap = Gap(begins_min=begins * minutes, ends_min=(begins + longer) * minutes)

    whole, cut = charge_of(*readings, minutes=minutes), charge_of(*readings, minutes=minutes, gap=gap)

    assert -1e-9 <= cut <= whole + 1e-9


@given(looks, st.floats(61, 600))
def test_the_charge_lies_between_the_least_and_the_most_current_read(readings, minutes):
    amps = [current for _, current in readings]

    charge_ah = charge_of(*readings, minutes=minutes)

    assert min(amps) * minutes / 60 <= charge_ah + 1e-9 and charge_ah - 1e-9 <= max(amps) * minutes / 60


def test_looking_again_narrows_the_charge():
    once, thrice = ([(m, 1.2) for m in minutes] for minutes in ((1,), (1, 10, 20)))

    assert biting.charge(thrice, minutes=30).sd < biting.charge(once, minutes=30).sd


def test_not_knowing_when_it_stopped_widens_the_charge():
    known = biting.charge([(1, 1.2)], minutes=12)

    about = biting.charge([(1, 1.2)], minutes=12, minutes_sd=biting.ABOUT_SD_MIN)

    assert about.value == known.value and about.sd > 1.5 * known.sd


def test_an_area_guessed_by_eye_rules_the_spread_of_the_depth():
    charge = biting.charge([(1, 1.2), (15, 1.2)], minutes=30)

    depth = biting.depth(charge, USUAL, exposed=Measured(40, 10, "cm²"))

    assert depth.sd / depth.value == pytest.approx(0.25, abs=0.02)


@given(st.floats(0.5, 200), st.floats(0.2, 20), st.floats(1, 500))
def test_the_minutes_worked_out_bite_as_deep_as_was_wanted(depth_um, a_per_dm2, exposed_cm2):
    minutes = biting.minutes_for_depth(depth_um=depth_um, density=density(a_per_dm2), efficiency=USUAL)
    charge = biting.counted_charge(a_per_dm2 * exposed_cm2 / 100 * minutes.value / 60)

    depth = biting.depth(charge, USUAL, exposed=Measured(exposed_cm2, 0, "cm²"))

    assert depth.value == pytest.approx(depth_um)


@given(currents, st.floats(1, 500), st.floats(1, 120), currents, st.floats(1, 500))
def test_a_recipe_carried_over_bites_as_deep(their_amps, their_cm2, their_minutes, our_amps, our_cm2):
    theirs = BiteRecipe(current_a=their_amps, exposed_cm2=their_cm2)
    ours = BiteRecipe(current_a=our_amps, exposed_cm2=our_cm2)

    minutes = biting.minutes_for_same_depth(theirs=theirs, their_minutes=their_minutes, ours=ours).value

    there = electrolysis.bite_depth_um(charge_ah=their_amps * their_minutes / 60, exposed_cm2=their_cm2)
    here = electrolysis.bite_depth_um(charge_ah=our_amps * minutes / 60, exposed_cm2=our_cm2)
    assert here == pytest.approx(there)


def test_a_partners_recipe_takes_less_time_with_more_current():
    theirs, ours = BiteRecipe(current_a=0.78, exposed_cm2=40), BiteRecipe(current_a=1.3, exposed_cm2=40)

    assert biting.minutes_for_same_depth(theirs=theirs, their_minutes=30, ours=ours).value == pytest.approx(18)


def test_eight_millilitres_of_a_usual_bath_carry_half_a_gram_of_copper():
    drips = biting.copper_in_drips(Measured(0.008, 0.002, "L"), Measured(250, 3, "g/L"))

    assert drips.value == pytest.approx(0.5, abs=0.01)


def test_lines_that_stay_open_add_up():
    stages = [biting.depth(biting.counted_charge(ah), USUAL, exposed=Measured(40, 4, "cm²")) for ah in (0.2, 0.2, 0.3)]

    deepest = biting.together(stages)

    assert deepest.value == pytest.approx(sum(stage.value for stage in stages))
    assert deepest.sd < sum(stage.sd for stage in stages)


CHARGE = biting.charge([(1, 1.3), (15, 1.1)], minutes=30)
FIGURES = {
    "charge": CHARGE,
    "counted": biting.counted_charge(0.6),
    "copper": biting.copper(CHARGE, USUAL),
    "depth": biting.depth(CHARGE, USUAL, exposed=Measured(40, 4, "cm²")),
    "density": biting.density(Measured(1.2, 0.1, "A"), Measured(40, 4, "cm²")),
    "minutes": biting.minutes_for_depth(depth_um=20, density=density(2.5, 0.4), efficiency=USUAL),
    "recipe": biting.minutes_for_same_depth(
        theirs=BiteRecipe(current_a=0.8, exposed_cm2=40),
        their_minutes=30,
        ours=BiteRecipe(current_a=1.3, exposed_cm2=52),
    ),
    "drips": biting.copper_in_drips(Measured(0.006, 0.0015, "L"), Measured(250, 3, "g/L")),
    "all drips": biting.all_drips([biting.copper_in_drips(Measured(0.006, 0.0015, "L"), Measured(250, 3, "g/L"))] * 7),
    "together": biting.together([biting.depth(CHARGE, USUAL, exposed=Measured(40, 4, "cm²"))] * 3),
}


@pytest.mark.parametrize("figure", FIGURES.values(), ids=FIGURES)
def test_a_working_redone_is_its_figure(figure):
    inputs = {each.name: each.value for each in figure.working.inputs}

    assert redo(figure.working.formula, inputs) == pytest.approx(figure.value)


@pytest.mark.parametrize("name", ["depth", "copper", "minutes", "drips"])
def test_the_spread_is_that_of_the_inputs(name):
    """Each input moved by its own sd, one at a time, added up at right angles."""
    figure = FIGURES[name]
    inputs = {each.name: each.value for each in figure.working.inputs}
    moved = [
        redo(figure.working.formula, inputs | {each.name: each.value + each.sd}) - figure.value
        for each in figure.working.inputs
        if each.sd
    ]

    assert math.hypot(*moved) == pytest.approx(figure.sd, rel=0.15)


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda: biting.charge([(0, 1.0)], minutes=-1), "minutes must be between 0 and 10000 min, not -1"),
        (lambda: biting.charge([(0, 2000.0)], minutes=1), "current must be between 0 and 1000 A, not 2000"),
        (lambda: Gap(begins_min=12, ends_min=10), "current cannot go at 12 min and be back at 10 min"),
        (lambda: BiteRecipe(current_a=0, exposed_cm2=40), "current must be between 0.001 and 1000 A, not 0"),
        (
            lambda: biting.minutes_for_depth(depth_um=-1, density=density(2), efficiency=PERFECT),
            "depth must be between 0 and 5000 µm, not -1",
        ),
        (lambda: biting.counted_charge(math.nan), "charge must be between 0 and 100000 A·h, not nan"),
    ],
)
def test_what_no_bite_does_is_refused(refused, sentence):
    with pytest.raises(ValueError) as refusal:
        refused()

    assert str(refusal.value) == sentence
