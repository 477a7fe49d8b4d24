import random
from itertools import pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import bath as bath_model
from chemistry.bath import Adopted, Bitten, CrystalsAdded, DensityRead, Mixed, Removed, SolutionAdded, WaterAdded
from chemistry.copper import balance as copper_balance
from chemistry.copper.balance import Amount
from chemistry.copper.removal import taken_out
from chemistry.measured import Measured, total
from tests import sources
from tests.formulas import redo

HANDBOOK = sources.read("biting")["electrochemical_equivalent"]
COPPER_PER_BLUE = sources.read("worked_checks")["copper_in_200_g_per_l"]["value"] / 200

grams = st.floats(0.1, 500)
litres = st.floats(0.01, 2)
happenings = st.lists(
    st.one_of(
        st.builds(lambda g: {"kind": CrystalsAdded, "grams": g}, grams),
        st.builds(lambda v: {"kind": Removed, "litres": v}, litres),
        st.builds(lambda v: {"kind": WaterAdded, "litres": v}, litres),
        st.builds(lambda v: {"kind": SolutionAdded, "litres": v, "strength_g_per_l": 200.0} | SURE, litres),
        st.builds(lambda q: {"kind": Bitten, "charge_ah": q}, st.floats(0.01, 5)),
    ),
    max_size=12,
)
SURE = {"sd_l": 0.0, "strength_sd_g_per_l": 0.0}


def events_of(happened):
    begun = Mixed(day=0, water_l=20, salt_g=5000)
    return [begun, *(each["kind"](day=0, **{k: v for k, v in each.items() if k != "kind"}) for each in happened)]


def sides(events):
    """The two sides of a bath's log, as the book keeps it."""
    states = bath_model.replay(events)
    came, went = [copper_balance.put_in(None, states[0])], [states[-1].measured().copper]
    for (before, after), event in zip(pairwise(states), events[1:], strict=True):
        if isinstance(event, Removed):
            went.append(taken_out(event, before).copper)
        elif isinstance(event, CrystalsAdded | SolutionAdded):
            came.append(copper_balance.put_in(before, after))
    return came, went


def balance_of(events):
    came, went = sides(events)
    end = bath_model.replay(events)[-1]
    return copper_balance.balance(
        came=[Amount("came", total(came, "g"))],
        went=[Amount("went", total(went, "g"))],
        errors={"readings": copper_balance.readings_against_log(events, start=None, end=end)},
    )


@given(happenings)
def test_whatever_is_poured_and_bitten_the_book_loses_no_copper(happened):
    balance = balance_of(events_of(happened))

    assert balance.unexplained.value == pytest.approx(0, abs=1e-6)
    assert balance.unexplained.sd == pytest.approx(0, abs=1e-6)


def test_the_charge_of_a_handbook_moves_as_much_off_the_plate_as_onto_the_sheet():
    bitten = Measured(10 * HANDBOOK["g_per_ah"], 10 * HANDBOOK["g_per_ah_tolerance"], "g")
    stripped = Measured(10 * 63.546 * 3600 / (2 * 96485.33), unit="g")

    balance = copper_balance.balance(
        came=[Amount("bitten", bitten)], went=[Amount("stripped", stripped)], errors={"the handbook": bitten}
    )

    assert balance.closes


def test_a_bath_holds_the_copper_of_its_crystals():
    state = bath_model.replay([Adopted(day=0, volume_l=1, strength_g_per_l=200, volume_sd_l=0, strength_sd_g_per_l=0)])

    assert state[-1].measured().copper.value == pytest.approx(200 * COPPER_PER_BLUE, rel=1e-3)


def test_half_a_litre_out_takes_its_copper_and_its_jugs_error():
    event = Removed(day=0, litres=0.5)
    before = bath_model.replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]

    out = taken_out(event, before).copper

    assert out.value == pytest.approx(0.5 * before.strength_g_per_l * COPPER_PER_BLUE, rel=1e-3)
    strength_sd = before.strength_sd_g_per_l / before.strength_g_per_l
    assert out.sd / out.value == pytest.approx(hypot((0.1 * 0.5 + 0.02) / 0.5, strength_sd))


def test_crystals_kept_out_take_their_copper_and_their_wetness():
    event = Removed(day=0, litres=0, crystals_g=100)
    before = bath_model.replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]

    out = taken_out(event, before).copper

    assert (out.value, out.sd) == pytest.approx((100 * COPPER_PER_BLUE, 10 * COPPER_PER_BLUE), rel=1e-3)


@given(st.lists(st.tuples(st.floats(0, 100), st.floats(0, 10)), min_size=1))
def test_one_guess_for_all_of_them_is_never_better_known_than_a_guess_for_each(parts):
    apart = total((Measured(value, sd, "g") for value, sd in parts), "g")
    alike = total((Measured(value, sd, "g", error="a guess") for value, sd in parts), "g")

    assert apart.value == alike.value
    assert apart.sd <= alike.sd + 1e-9


def test_a_year_in_which_nothing_went_astray_closes():
    """300 studios weigh, pour and read with their usual errors."""
    chance = random.Random(3)

    closed = [_year(chance, astray_g=0.0).closes for _ in range(300)]

    assert 0.92 <= sum(closed) / 300 <= 0.98


def test_a_year_in_which_a_good_litre_of_bath_was_lost_unwritten_does_not_close():
    chance = random.Random(5)

    closed = [_year(chance, astray_g=320.0).closes for _ in range(100)]

    assert sum(closed) / 100 < 0.1


def _year(chance, *, astray_g):
    """A bath of 3 kg of crystals, 40 pourings, a strength read at the end; astray_g of its salt is never written."""
    log = [Mixed(day=0, water_l=11, salt_g=3000)]
    true_salt_g, true_water_g = 3000 * chance.gauss(1, 0.0067), 11_000 * chance.gauss(1, 0.0209)
    for _ in range(40):
        event = Removed(day=0, litres=0.05, sd_l=0.005)
        state = bath_model.replay([Mixed(day=0, water_l=true_water_g / 1000, salt_g=true_salt_g)])[-1]
        poured = 0.05 * chance.gauss(1, 0.1) / state.volume_l
        true_salt_g, true_water_g = true_salt_g * (1 - poured), true_water_g * (1 - poured)
        log.append(event)
    true = bath_model.replay([Mixed(day=0, water_l=true_water_g / 1000, salt_g=true_salt_g - astray_g)])[-1]
    volume_l = true.volume_l + chance.gauss(0, 0.05)
    log.append(bath_model.LevelRead(day=0, volume_l=volume_l, sd_l=0.05))
    expected = bath_model.expected(true, DensityRead(day=0, sg=1.15))
    hydrometer_sd = hypot(DensityRead(day=0, sg=1).sd, bath_model.OFFSET_SD)
    log.append(DensityRead(day=0, sg=expected.value + chance.gauss(0, hydrometer_sd)))
    return balance_of(log)


def test_the_working_redone_is_what_nobody_can_explain():
    balance = copper_balance.balance(
        came=[Amount("baths before", Measured(750.0, 4.0, "g")), Amount("off plates", Measured(80.0, 2.0, "g"))],
        went=[Amount("baths now", Measured(752.0, 5.0, "g")), Amount("stripped", Measured(60.0, 0.7, "g"))],
        errors={"the scale": Measured(0.0, 0.7, "g")},
    )

    redone = redo(balance.unexplained.working.formula, {i.name: i.value for i in balance.unexplained.working.inputs})

    assert redone == pytest.approx(balance.unexplained.value) == 18
    assert not balance.closes


def test_a_sheet_weighs_what_a_handbooks_density_makes_of_its_size():
    """A square foot of 16-ounce copper: 0.0216 in, 1 lb; Copper Development Association, from memory."""
    sheet = copper_balance.in_sheet(area_cm2=929.0304, thickness_mm=0.0216 * 25.4)

    assert sheet.value == pytest.approx(453.592, rel=0.01)


def test_a_sheet_as_thick_as_a_door_is_refused():
    with pytest.raises(ValueError, match="thickness must be between 0.01 and 10 mm, not 40"):
        copper_balance.in_sheet(area_cm2=100, thickness_mm=40)
