import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.copper import cell_current, deposition
from chemistry.copper.cell_current import Past
from chemistry.solution import sulfate
from tests import sources
from tests.formulas import redo

REFINERY = sources.read("biting")["refinery"]


def past(*a_per_dm2, strength_g_per_l=240):
    return [Past(current_a=a / 2, exposed_cm2=50, strength_g_per_l=strength_g_per_l) for a in a_per_dm2]


@pytest.mark.parametrize("copper_g_per_l", REFINERY["copper_g_per_l"])
def test_the_advice_for_a_cathode_lies_where_refineries_work(copper_g_per_l):
    strength_g_per_l = copper_g_per_l / sulfate.COPPER_PER_BLUE
    low, high = REFINERY["cathode_a_per_dm2"]

    # refineries stir, warm and smooth their deposits: a still bath at room temperature must not be advised more
    advised = deposition.most_current(facing_cm2=100, strength_g_per_l=strength_g_per_l)
    assert low * 0.8 <= advised.value <= high


def test_two_bites_teach_no_current():
    assert cell_current.usual_density(past(2.4, 2.5), strength_g_per_l=240) is None


def test_the_usual_current_is_that_of_the_earlier_bites():
    usual = cell_current.usual_density(past(2.0, 2.5, 3.125), strength_g_per_l=240)

    assert usual.value == pytest.approx(2.5)
    assert usual.unit == "A/dm²"


@pytest.mark.parametrize(
    ("earlier", "known"),
    [
        ((2.4, 2.5, 2.6, 30.0), 2.5),
        ((30.0, 2.4, 2.5, 2.6), 2.5),
        ((2.4, 2.5, 2.6, 0.2), 2.5),
        ((2.4, 2.5, 2.6, 12.0, 0.3), 2.5),
        ((2.5, 2.5, 2.5, 2.5, 5.0), 2.5),
        ((2.4, 2.5, 30.0), None),
        # most of them by a nearer cathode: then that is usual
        ((2.4, 2.5, 6.0, 6.1, 6.2, 6.3, 6.4), 6.2),
        # uneven, but not far off
        ((1.8, 2.2, 2.6, 3.2), 2.4),
    ],
)
def test_a_bite_far_from_the_others_teaches_nothing(earlier, known):
    usual = cell_current.usual_density(past(*earlier), strength_g_per_l=240)

    assert usual and usual.value == pytest.approx(known, rel=0.02) if known else usual is None


def test_one_outlier_leaves_the_spread_as_it_was():
    ten = [2.3, 2.4, 2.4, 2.5, 2.5, 2.5, 2.6, 2.6, 2.7, 2.8]

    clean, kept = (cell_current.usual_density(past(*bites), strength_g_per_l=240) for bites in (ten, [*ten, 8.0]))

    assert (kept.value, kept.sd) == pytest.approx((clean.value, clean.sd))
    assert "1 far off left out" in kept.working.inputs[0].unit


def test_a_stronger_bath_takes_more_current():
    earlier = past(2.4, 2.5, 2.6)

    weak, strong = (cell_current.usual_density(earlier, strength_g_per_l=s).value for s in (200, 260))

    assert 1.05 < strong / weak < 1.3


def test_the_next_bite_lies_in_the_interval_as_often_as_it_says():
    chance, inside = random.Random(7), 0
    for _ in range(400):
        *earlier, following = (2.5 * chance.lognormvariate(0, 0.2) for _ in range(13))
        usual = cell_current.usual_density(past(*earlier), strength_g_per_l=240)
        inside += abs(following - usual.value) <= usual.half_width

    assert 0.90 <= inside / 400 <= 0.98


@pytest.mark.parametrize(
    ("a_per_dm2", "far"), [(2.5, False), (1.6, False), (4.2, False), (0.4, True), (12.0, True), (0.0, True)]
)
def test_a_current_unlike_the_earlier_ones_is_noticed(a_per_dm2, far):
    usual = cell_current.usual_density(past(2.2, 2.4, 2.5, 2.6, 2.8), strength_g_per_l=240)

    assert cell_current.is_far_from_usual(a_per_dm2, usual) is far


def test_a_small_cathode_is_powdery_before_a_large_one():
    small, large = (
        cell_current.cathode_share(current_a=4.2, cathode_cm2=area, strength_g_per_l=240) for area in (100, 700)
    )

    assert cell_current.is_powdery(small) and not cell_current.is_powdery(large)


def test_the_most_current_follows_ohms_law():
    near = cell_current.most_current_a(volts=1, gap_cm=4, plate_cm2=310, strength_g_per_l=250)
    far = cell_current.most_current_a(volts=2, gap_cm=8, plate_cm2=310, strength_g_per_l=250)

    assert near.value == pytest.approx(far.value)


@pytest.mark.parametrize("strength_g_per_l", [0, 5, 330, 450])
def test_a_bath_beyond_the_tables_still_has_a_conductivity(strength_g_per_l):
    assert 0 < cell_current.conductivity_ms_per_cm(strength_g_per_l) < 60


@given(st.floats(0, 500), st.floats(0, 500))
def test_a_stronger_bath_never_conducts_less(one, other):
    weak, strong = sorted((one, other))

    assert cell_current.conductivity_ms_per_cm(weak) <= cell_current.conductivity_ms_per_cm(strong)


@pytest.mark.parametrize(
    ("amps", "climbs", "falls"),
    [([2.1], False, False), ([2.1, 2.2], False, False), ([2.1, 2.9], True, False), ([2.1, 2.2, 1.2], False, True)],
)
def test_a_current_that_climbs_or_falls_by_itself_is_noticed(amps, climbs, falls):
    readings = [(10.0 * number, current) for number, current in enumerate(amps)]

    assert (cell_current.climbed(readings), cell_current.fell(readings)) == (climbs, falls)


@pytest.mark.parametrize(("strength", "temperature_c", "near"), [(240, 20, False), (290, 18, True), (240, 5, True)])
def test_near_saturation_depends_on_the_cold(strength, temperature_c, near):
    assert cell_current.is_near_saturation(strength, temperature_c) is near


@pytest.mark.parametrize(
    "figure",
    [
        cell_current.usual_density(past(2.0, 2.5, 3.1), strength_g_per_l=250),
        cell_current.cathode_share(current_a=4.2, cathode_cm2=300, strength_g_per_l=240),
        cell_current.most_current_a(volts=0.9, gap_cm=4, plate_cm2=310, strength_g_per_l=250),
    ],
    ids=["usual", "cathode", "most"],
)
def test_a_working_redone_is_its_figure(figure):
    inputs = {each.name: each.value for each in figure.working.inputs}

    assert redo(figure.working.formula, inputs) == pytest.approx(figure.value)
