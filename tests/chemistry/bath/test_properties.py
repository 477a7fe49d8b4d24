from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from chemistry.bath import (
    Adopted,
    Bitten,
    CrystalsAdded,
    DensityRead,
    DryingRate,
    LevelRead,
    Removed,
    SolutionAdded,
    Titrated,
    WaterAdded,
    forecast,
    replay,
    settle,
    top_up,
)
from chemistry.solution import sulfate

litres = st.floats(0.5, 50)
strengths = st.floats(20, 300)
room_c = st.floats(0, 35)

baths = st.builds(
    Adopted,
    day=st.just(0.0),
    volume_l=litres,
    strength_g_per_l=strengths,
    volume_sd_l=st.floats(0.01, 0.5),
    strength_sd_g_per_l=st.floats(1, 20),
)
jugs = st.floats(0, 2)
amounts = st.one_of(
    st.builds(WaterAdded, day=st.just(1.0), litres=jugs),
    st.builds(CrystalsAdded, day=st.just(1.0), grams=st.floats(0, 500)),
    st.builds(
        SolutionAdded,
        day=st.just(1.0),
        litres=jugs,
        strength_g_per_l=strengths,
        sd_l=st.floats(0, 0.1),
        strength_sd_g_per_l=st.floats(0, 10),
    ),
    st.builds(Bitten, day=st.just(1.0), charge_ah=st.floats(0, 20)),
)
log_lines = st.one_of(
    amounts,
    st.builds(DryingRate, day=st.just(0.0), g_per_day=st.floats(0, 60)),
    st.builds(Removed, day=st.just(0.0), litres=st.floats(0, 0.3)),
    st.builds(LevelRead, day=st.just(0.0), volume_l=litres, sd_l=st.floats(0.02, 0.3), temperature_c=room_c),
    st.builds(DensityRead, day=st.just(0.0), sg=st.floats(1.0, 1.2), temperature_c=room_c),
    st.builds(Titrated, day=st.just(0.0), mol_per_l=st.floats(0.1, 1.4), sd=st.floats(0.003, 0.05)),
)


@st.composite
def logs(draw):
    """A bath and up to a dozen things that happen to it, some on the same day."""
    lines = draw(st.lists(log_lines, max_size=12))
    day, log = 0.0, [draw(baths)]
    for line in lines:
        day += draw(st.sampled_from([0, 0, 0.25, 1, 7]))
        log.append(replace(line, day=day))
    return log


def figures(state):
    return [state.water_g, state.salt_g, state.drying_factor, state.hydrometer_offset, *sum(state.covariance, ())]


@given(baths)
def test_an_adopted_bath_comes_back_as_it_was_told(adopted):
    state = replay([adopted])[-1]

    assert state.volume_l == pytest.approx(adopted.volume_l)
    assert state.strength_g_per_l == pytest.approx(adopted.strength_g_per_l)
    assert state.volume_sd_l == pytest.approx(adopted.volume_sd_l, rel=1e-5)
    assert state.strength_sd_g_per_l == pytest.approx(adopted.strength_sd_g_per_l, rel=1e-5)


@given(baths, jugs, st.floats(0, 500))
def test_what_goes_in_is_in_the_bath(adopted, water_l, grams):
    before, *_, after = replay(
        [adopted, WaterAdded(day=1, litres=water_l), CrystalsAdded(day=1, grams=grams, purity=0.99)]
    )

    assert after.salt_g == pytest.approx(before.salt_g + 0.99 * grams)
    assert after.water_g == pytest.approx(before.water_g + 998.204 * water_l)  # Kell 1975 at 20 °C


@given(baths, st.floats(0.01, 0.45))
def test_pouring_out_and_pouring_back_changes_nothing_but_the_spread(adopted, litres_out):
    before = replay([adopted])[-1]
    poured = replay([Removed(day=1, litres=litres_out)], start=before)[-1]
    back = SolutionAdded(
        day=1, litres=litres_out, strength_g_per_l=before.strength_g_per_l, sd_l=0, strength_sd_g_per_l=0
    )

    after = replay([back], start=poured)[-1]

    assert after.water_g == pytest.approx(before.water_g)
    assert after.salt_g == pytest.approx(before.salt_g)


@given(baths, amounts, amounts)
def test_what_goes_in_on_one_day_may_be_written_in_either_order(adopted, one, other):
    first = replay([adopted, one, other])[-1]
    second = replay([adopted, other, one])[-1]

    assert figures(first) == pytest.approx(figures(second), rel=1e-9, abs=1e-6)


@given(baths, st.floats(0.02, 0.3), st.floats(0.02, 0.3))
def test_two_levels_read_on_one_day_may_be_written_in_either_order(adopted, one_sd_l, other_sd_l):
    one = LevelRead(day=1, volume_l=adopted.volume_l + 0.05, sd_l=one_sd_l)
    other = LevelRead(day=1, volume_l=adopted.volume_l - 0.05, sd_l=other_sd_l)

    first = replay([adopted, one, other])[-1]
    second = replay([adopted, other, one])[-1]

    # not to the last digit, because part of their error is the same and is not averaged out
    assert abs(first.volume_l - second.volume_l) < 0.5 * first.volume_sd_l
    assert first.volume_sd_l == pytest.approx(second.volume_sd_l, rel=0.25)


def test_a_slip_of_the_eye_is_mended_by_looking_again():
    adopted = Adopted(day=0, volume_l=11, volume_sd_l=1, strength_g_per_l=230, strength_sd_g_per_l=5)
    slip, again = (LevelRead(day=1, volume_l=litres, sd_l=0.1) for litres in (11.0, 10.6))

    once, twice, thrice = (replay([adopted, slip, *[again] * times])[-1] for times in (1, 2, 3))

    assert once.volume_l == pytest.approx(10.8, abs=0.02)
    assert 10.6 < thrice.volume_l < twice.volume_l < once.volume_l
    assert thrice.volume_sd_l == pytest.approx(twice.volume_sd_l, rel=0.05), "the eye stands where it stood"


@given(logs(), st.data())
def test_reading_on_from_a_kept_state_is_the_same_as_reading_it_all(log, data):
    cut = data.draw(st.integers(1, len(log)))
    states = replay(log)

    resumed = replay(log[cut:], start=states[cut - 1])

    assert states[cut:] == resumed


@given(logs())
def test_every_estimate_is_possible_and_every_spread_is_one(log):
    for state in replay(log):
        assert state.water_g > 0
        assert state.salt_g >= 0
        assert state.drying_factor >= 0
        assert state.volume_sd_l >= 0
        assert state.strength_sd_g_per_l >= 0
        assert min(state.covariance[i][i] for i in range(4)) > -1e-9


@given(logs(), st.floats(0, 30), st.floats(0, 30))
def test_waiting_twice_is_waiting_once_for_as_long(log, days, more_days):
    state = replay(log)[-1]
    once = forecast(state, days=days + more_days)
    twice = forecast(forecast(state, days=days), days=more_days)
    assume(once.water_g > 10)

    assert figures(twice) == pytest.approx(figures(once), rel=1e-6, abs=1e-6)


@given(logs(), st.floats(0, 30))
def test_a_forecast_is_the_replay_of_days_on_which_nothing_happens(log, days):
    state = replay(log)[-1]

    idle = replay([Bitten(day=state.day + days, charge_ah=0)], start=state)[-1]

    assert figures(idle) == pytest.approx(figures(forecast(state, days=days)))


@given(logs(), st.floats(0.1, 30))
def test_a_drying_bath_never_grows_weaker(log, days):
    now = replay(log)[-1]

    later = forecast(now, days=days)

    assert later.salt_g == now.salt_g
    assert later.water_g <= now.water_g
    assert later.strength_g_per_l >= now.strength_g_per_l * (1 - 1e-12)


@given(baths, st.floats(1.0, 1.2), st.floats(1.0, 1.2))
def test_the_higher_the_hydrometer_floats_the_stronger_the_bath(adopted, one, other):
    low, high = sorted([one, other])

    weak = replay([adopted, DensityRead(day=1, sg=low)])[-1]
    strong = replay([adopted, DensityRead(day=1, sg=high)])[-1]

    assert strong.strength_g_per_l >= weak.strength_g_per_l * (1 - 1e-9)


@given(baths, st.floats(0.9, 1.1))
def test_a_reading_never_makes_the_book_vaguer(adopted, share):
    before = replay([adopted])[-1]

    level = replay([LevelRead(day=0, volume_l=adopted.volume_l * share, sd_l=0.1)], start=before)[-1]

    assert all(level.covariance[i][i] <= before.covariance[i][i] * (1 + 1e-9) for i in range(4))


@given(baths, st.floats(-1.5, 40))
def test_settling_keeps_every_gram_of_salt(adopted, temperature_c):
    state = replay([adopted])[-1]

    settled = settle(state, temperature_c=temperature_c)

    liquid_g = settled.liquid_strength_g_per_l * settled.liquid_volume_l
    assert settled.crystals_g >= 0
    assert liquid_g + settled.crystals_g == pytest.approx(state.salt_g)


@given(baths, st.floats(-1.5, 40), st.floats(-1.5, 40))
def test_a_colder_bath_drops_no_fewer_crystals(adopted, one, other):
    state = replay([adopted])[-1]
    cold, warm = sorted([one, other])

    assert settle(state, temperature_c=cold).crystals_g >= settle(state, temperature_c=warm).crystals_g


@given(baths, st.floats(1, 600), litres, litres, st.floats(-10, 40), st.floats(0, 40))
def test_advice_never_overflows_the_tank_nor_drops_crystals(adopted, strength, volume_l, rim_l, coldest_c, now_c):
    advice = top_up(
        replay([adopted])[-1],
        target_strength_g_per_l=strength,
        target_volume_l=volume_l,
        rim_l=rim_l,
        coldest_c=coldest_c,
        temperature_c=now_c,
    )

    saturated = sulfate.solubility_mass_fraction(max(coldest_c, sulfate.COLDEST_C))
    assert min(advice.water_l, advice.salt_g, advice.remove_l) >= 0
    assert advice.volume_l <= rim_l + 2e-4  # amounts too small to measure are left out
    assert advice.strength_g_per_l <= sulfate.strength_g_per_l(saturated, 20) * (1 + 1e-3)


@given(baths, st.floats(50, 230), litres, st.floats(0, 40))
def test_a_target_within_reach_is_reached_without_a_warning(adopted, strength, volume_l, now_c):
    advice = top_up(
        replay([adopted])[-1],
        target_strength_g_per_l=strength,
        target_volume_l=volume_l,
        rim_l=60,
        coldest_c=5,
        temperature_c=now_c,
    )

    assert advice.strength_g_per_l == pytest.approx(strength, rel=1e-3)
    assert advice.volume_l == pytest.approx(volume_l, rel=1e-3)
    assert [warning for warning in advice.warnings if "stir" not in warning] == []


@given(baths, st.floats(50, 230), litres)
def test_following_the_advice_leads_where_it_says(adopted, strength, volume_l):
    state = replay([adopted])[-1]
    advice = top_up(state, target_strength_g_per_l=strength, target_volume_l=volume_l, rim_l=60, coldest_c=5)
    assume(advice.remove_l < 0.98 * state.volume_l)

    followed = replay(
        [
            Removed(day=1, litres=advice.remove_l),
            WaterAdded(day=1, litres=advice.water_l),
            CrystalsAdded(day=1, grams=advice.salt_g),
        ],
        start=state,
    )[-1]

    assert followed.strength_g_per_l == pytest.approx(advice.strength_g_per_l)
    assert followed.volume_l == pytest.approx(advice.volume_l)


@given(baths, st.floats(50, 230), litres)
def test_advice_takes_bath_out_only_if_nothing_else_will_do(adopted, strength, volume_l):
    advice = top_up(
        replay([adopted])[-1], target_strength_g_per_l=strength, target_volume_l=volume_l, rim_l=60, coldest_c=5
    )

    assert advice.remove_l == 0 or advice.water_l == 0 or advice.salt_g == 0
