import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from molmass import Formula
from scipy import constants

from chemistry.copper import electrolysis
from chemistry.solution import sulfate
from tests import sources

CHECKS = sources.read("worked_checks")
LIMITS = CHECKS["cathode_limits"]["rows"]

readings = st.lists(st.tuples(st.floats(0, 1000), st.floats(0, 50)), min_size=2, max_size=20).map(sorted)


def test_faradays_constant_is_codatas():
    codata = constants.value("Faraday constant")

    assert codata == pytest.approx(electrolysis.FARADAY_C_PER_MOL, rel=1e-9)


def test_an_ampere_hour_moves_as_much_copper_as_the_constants_say():
    check = CHECKS["electrochemical_equivalent"]
    independent = Formula("Cu").mass * 3600 / (2 * constants.value("Faraday constant"))

    moved_g = electrolysis.copper_moved_g(charge_ah=1)

    assert moved_g == pytest.approx(check["value"], abs=check["tolerance"])
    assert moved_g == pytest.approx(independent, rel=1e-6)


def test_an_hour_and_a_half_at_an_amp_and_a_half():
    check = CHECKS["bite_1_5_a_90_min_150_cm2"]
    charge = electrolysis.charge_ah([(0, 1.5), (90, 1.5)])

    moved_g = electrolysis.copper_moved_g(charge_ah=charge)
    depth_um = electrolysis.bite_depth_um(charge_ah=charge, exposed_cm2=150)

    assert moved_g == pytest.approx(check["mass_g"], abs=check["mass_tolerance"])
    assert depth_um == pytest.approx(check["depth_um"], abs=check["depth_tolerance"])


def test_an_hour_at_one_ampere_per_square_decimetre():
    check = CHECKS["hour_at_1_a_per_dm2"]

    depth_um = electrolysis.bite_depth_um(charge_ah=1, exposed_cm2=100)

    assert depth_um == pytest.approx(check["value"], abs=check["tolerance"])


@given(st.floats(0.01, 100), st.floats(1, 1000), st.floats(0.9, 1.1))
def test_the_depth_times_the_area_weighs_what_was_moved(charge_ah, exposed_cm2, efficiency):
    depth_um = electrolysis.bite_depth_um(charge_ah=charge_ah, exposed_cm2=exposed_cm2, efficiency=efficiency)

    weight_g = depth_um * 1e-4 * exposed_cm2 * 8.96

    assert weight_g == pytest.approx(electrolysis.copper_moved_g(charge_ah=charge_ah, efficiency=efficiency))


def test_an_anode_may_give_a_little_more_than_faradays_law():
    assert electrolysis.copper_moved_g(charge_ah=1, efficiency=1.03) == pytest.approx(1.03 * 1.18549, rel=1e-4)


@pytest.mark.parametrize(
    ("taken", "expected_ah"),
    [
        ([], 0),
        ([(0, 2.0)], 0),
        ([(0, 2.0), (60, 2.0)], 2),
        ([(0, 2.0), (60, 0.0)], 1),
        ([(0, 1.0), (30, 1.0), (30, 3.0), (60, 3.0)], 2),
        ([(10, 1.0), (40, 2.0), (100, 2.0)], 2.75),
    ],
)
def test_charge_is_the_area_under_the_ammeter_readings(taken, expected_ah):
    assert electrolysis.charge_ah(taken) == pytest.approx(expected_ah)


@given(readings, st.integers(1, 19))
def test_charge_adds_up_where_a_bite_is_split_at_a_reading(taken, where):
    split = min(where, len(taken) - 1)

    whole = electrolysis.charge_ah(taken)

    assert electrolysis.charge_ah(taken[: split + 1]) + electrolysis.charge_ah(taken[split:]) == pytest.approx(whole)


def test_readings_that_go_back_in_time_are_refused():
    with pytest.raises(ValueError, match="readings must follow each other in time, not 5 min after 10 min"):
        electrolysis.charge_ah([(0, 1.0), (10, 1.0), (5, 1.0)])


def test_current_density_counts_square_decimetres():
    assert electrolysis.current_density_a_per_dm2(current_a=3, area_cm2=150) == pytest.approx(2)


def test_resistance_of_a_bath_between_two_facing_sheets():
    check = CHECKS["cell_125_g_per_l_gap_3_cm_300_cm2"]
    w = sulfate.mass_fraction_from_strength(125, 20)

    ohm = electrolysis.cell_resistance_ohm(
        conductivity_ms_per_cm=sulfate.conductivity_ms_per_cm(w, 20), gap_cm=3, area_cm2=300
    )

    assert ohm == pytest.approx(check["value"], abs=check["tolerance"])


def test_a_wider_gap_resists_more_and_a_larger_plate_less():
    near = {"conductivity_ms_per_cm": 30, "gap_cm": 3, "area_cm2": 200}
    ohm = electrolysis.cell_resistance_ohm(**near)

    assert electrolysis.cell_resistance_ohm(**near | {"gap_cm": 6}) == pytest.approx(2 * ohm)
    assert electrolysis.cell_resistance_ohm(**near | {"area_cm2": 400}) == pytest.approx(ohm / 2)


@pytest.mark.parametrize(("strength_g_per_l", "limit"), LIMITS)
def test_cathode_limit_meets_its_table(strength_g_per_l, limit):
    assert electrolysis.cathode_limit_a_per_dm2(strength_g_per_l) == pytest.approx(limit)


@given(st.floats(0, 400), st.floats(0, 400))
def test_a_stronger_bath_never_lowers_the_cathode_limit(one, other):
    weak, strong = sorted((one, other))

    assert electrolysis.cathode_limit_a_per_dm2(weak) <= electrolysis.cathode_limit_a_per_dm2(strong)


def test_cathode_limit_is_not_stretched_beyond_its_table():
    assert electrolysis.cathode_limit_a_per_dm2(300) == LIMITS[-1][1]
    assert electrolysis.cathode_limit_a_per_dm2(0) == 0


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda: electrolysis.copper_moved_g(charge_ah=-1), "charge must be between 0 and 100000 A·h, not -1"),
        (lambda: electrolysis.copper_moved_g(charge_ah=math.inf), "charge must be between 0 and 100000 A·h, not inf"),
        (
            lambda: electrolysis.copper_moved_g(charge_ah=1, efficiency=95),
            "efficiency must be between 0 and 1.2, not 95",
        ),
        (
            lambda: electrolysis.bite_depth_um(charge_ah=1, exposed_cm2=0),
            "exposed area must be between 0.01 and 100000 cm², not 0",
        ),
        (lambda: electrolysis.charge_ah([(0, -1), (1, 1)]), "current must be between 0 and 1000 A, not -1"),
        (lambda: electrolysis.charge_ah([(math.nan, 1)] * 2), "minutes must be between 0 and 1000000 min, not nan"),
        (
            lambda: electrolysis.current_density_a_per_dm2(current_a=1, area_cm2=0),
            "area must be between 0.01 and 100000 cm², not 0",
        ),
        (
            lambda: electrolysis.cell_resistance_ohm(conductivity_ms_per_cm=0, gap_cm=3, area_cm2=1),
            "conductivity must be between 0.1 and 1000 mS/cm, not 0",
        ),
        (lambda: electrolysis.cathode_limit_a_per_dm2(500), "strength must be between 0 and 400 g/L, not 500"),
    ],
)
def test_what_no_cell_does_is_refused(refused, sentence):
    with pytest.raises(ValueError) as refusal:
        refused()

    assert str(refusal.value) == sentence
