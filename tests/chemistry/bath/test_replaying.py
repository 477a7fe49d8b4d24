import json
from dataclasses import FrozenInstanceError, asdict

import pytest

from chemistry.bath import (
    FAR_OFF_SD,
    Adopted,
    BathState,
    Bitten,
    DensityRead,
    Doubted,
    DryingRate,
    LevelRead,
    Mixed,
    Titrated,
    WaterAdded,
    days_until,
    expected,
    forecast,
    is_far_off,
    replay,
    strength,
    volume,
)
from chemistry.solution import sulfate
from tests.formulas import redone

OPEN_TRAY = (Mixed(day=0, water_l=3.5, salt_g=800), DryingRate(day=0, g_per_day=40))
COLD_BATH = (Adopted(day=0, volume_l=12, strength_g_per_l=280, volume_sd_l=0.1, strength_sd_g_per_l=8),)


def bath(*events):
    return replay(events)[-1]


def test_a_replay_gives_one_state_for_each_event():
    states = replay([*OPEN_TRAY, WaterAdded(day=3, litres=0.1)])

    assert [state.day for state in states] == [0, 0, 3]


def test_an_empty_log_has_no_states():
    assert replay([]) == []


@pytest.mark.parametrize("event", [WaterAdded(day=0, litres=1), DryingRate(day=0, g_per_day=1)])
def test_a_log_begins_with_a_bath(event):
    with pytest.raises(ValueError, match=f"must begin with Mixed or Adopted, not {type(event).__name__}"):
        replay([event, *OPEN_TRAY])


def test_a_log_never_goes_back():
    with pytest.raises(ValueError, match="the log never goes back: day must be at least 5, not 4"):
        replay([*OPEN_TRAY, Bitten(day=5, charge_ah=1), Bitten(day=4, charge_ah=1)])


def test_a_state_is_kept_as_plain_numbers_and_read_on_from():
    state = bath(*OPEN_TRAY, LevelRead(day=9, volume_l=3.4, sd_l=0.05))
    kept = json.loads(json.dumps(asdict(state)))

    restored = BathState(**kept | {"variances": tuple(kept["variances"])})

    assert restored == state
    assert replay([WaterAdded(day=10, litres=0.2)], start=restored) == replay(
        [WaterAdded(day=10, litres=0.2)], start=state
    )


def test_a_state_does_not_change():
    with pytest.raises(FrozenInstanceError):
        bath(*OPEN_TRAY).salt_g = 0


def test_a_lid_left_off_for_a_month():
    later = forecast(bath(*OPEN_TRAY), days=30)

    assert later.water_g == pytest.approx(bath(*OPEN_TRAY).water_g - 1200)
    assert later.volume_sd_l > bath(*OPEN_TRAY).volume_sd_l


@pytest.mark.parametrize("days", [-1, float("nan"), float("inf")])
def test_a_forecast_looks_ahead_by_a_number_of_days(days):
    with pytest.raises(ValueError, match="days must be"):
        forecast(bath(*OPEN_TRAY), days=days)


def test_the_day_a_bath_gets_too_strong():
    state = bath(*OPEN_TRAY)

    days = days_until(state, strength_g_per_l=250)

    assert forecast(state, days=days).strength_g_per_l == pytest.approx(250)


def test_a_bath_that_is_already_too_strong_is_so_today():
    assert days_until(bath(*OPEN_TRAY), strength_g_per_l=150) == 0


def test_a_lidded_bath_never_gets_too_strong():
    assert days_until(bath(OPEN_TRAY[0]), strength_g_per_l=250) is None


@pytest.mark.parametrize(
    ("reading", "unit", "value"),
    [
        (LevelRead(day=0, volume_l=3.5, sd_l=0.05), "L", 3.80),
        (DensityRead(day=0, sg=1.12), "SG", 1.132),
        (Titrated(day=0, mol_per_l=0.8, sd=0.01), "mol/L", 0.843),
    ],
)
def test_what_a_reading_should_show(reading, unit, value):
    by_the_book = expected(bath(*OPEN_TRAY), reading)

    # volume and SG within the outline of the invented year, which used a rough density table: 3.8 L, 1.132, 210.5 g/L
    assert by_the_book.unit == unit
    assert by_the_book.value == pytest.approx(value, rel=0.005)
    assert by_the_book.difference_sd == pytest.approx((reading.reading - by_the_book.value) / by_the_book.sd)


def test_a_reading_is_compared_with_the_bath_of_its_own_day():
    today = expected(bath(*OPEN_TRAY), LevelRead(day=0, volume_l=3.5, sd_l=0.05))
    in_a_month = expected(bath(*OPEN_TRAY), LevelRead(day=30, volume_l=3.5, sd_l=0.05))

    assert in_a_month.value == pytest.approx(forecast(bath(*OPEN_TRAY), days=30).volume_l)
    assert in_a_month.sd > today.sd


def test_a_reading_is_far_off_beyond_three_combined_sd():
    by_the_book = expected(bath(*OPEN_TRAY), DensityRead(day=1, sg=1.1))
    edge = by_the_book.value + FAR_OFF_SD * by_the_book.sd

    assert not is_far_off(bath(*OPEN_TRAY), DensityRead(day=1, sg=edge - 0.0001))
    assert is_far_off(bath(*OPEN_TRAY), DensityRead(day=1, sg=edge + 0.0001))


def test_a_doubted_book_no_longer_holds_the_reading_out():
    reading = DensityRead(day=1, sg=1.16)
    doubted = replay([Doubted(day=1, water_sd_l=0.5, salt_sd_g=120)], start=bath(*OPEN_TRAY))[-1]

    assert is_far_off(bath(*OPEN_TRAY), reading)
    assert not is_far_off(doubted, reading)


def test_over_crystals_a_reading_of_the_saturated_liquid_is_not_far_off():
    saturated_sg = sulfate.sg(sulfate.solubility_mass_fraction(5), 5)

    by_the_book = expected(bath(*COLD_BATH), DensityRead(day=1, sg=saturated_sg, temperature_c=5))

    assert by_the_book.value == pytest.approx(saturated_sg)
    assert by_the_book.difference_sd == pytest.approx(0)


def test_strength_and_volume_can_be_redone_from_what_is_shown():
    state = bath(*OPEN_TRAY, WaterAdded(day=9, litres=0.3))

    for figure in (strength(state), volume(state)):
        assert redone(figure.working) == pytest.approx(figure.value, rel=1e-12)
        assert "Laliberté" in figure.working.source


def test_pages_print_half_of_the_95_percent_interval():
    state = bath(*OPEN_TRAY)

    assert strength(state).half_width == pytest.approx(1.96 * state.strength_sd_g_per_l)
    assert volume(state).half_width == pytest.approx(1.96 * state.volume_sd_l)


def test_a_strength_beyond_the_published_tables_carries_its_caution():
    assert strength(bath(*OPEN_TRAY)).working.caution is None
    assert "18 %" in strength(forecast(bath(*OPEN_TRAY), days=50)).working.caution
