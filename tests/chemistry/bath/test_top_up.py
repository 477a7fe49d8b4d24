import pytest

from chemistry.bath import Adopted, DryingRate, Mixed, forecast, replay, settle, top_up
from tests.formulas import redone


def bath(volume_l, strength_g_per_l):
    return replay(
        [Adopted(day=0, volume_l=volume_l, strength_g_per_l=strength_g_per_l, volume_sd_l=0.1, strength_sd_g_per_l=5)]
    )[-1]


def advise(state, *, strength=250, litres=12, rim_l=13, coldest_c=15, **more):
    return top_up(
        state, target_strength_g_per_l=strength, target_volume_l=litres, rim_l=rim_l, coldest_c=coldest_c, **more
    )


def test_a_bath_on_the_first_day_back_drops_about_seventy_grams_at_ten_degrees():
    settled = settle(bath(2.62, 286), temperature_c=10)

    # reference chemistry of the bath: "A 2.62 L bath of 286 g/L settled at 10 °C drops about 70 g"; 262 g/L at 10 °C
    assert settled.crystals_g == pytest.approx(70, abs=2)
    assert settled.liquid_strength_g_per_l == pytest.approx(262, abs=1)
    assert settled.liquid_volume_l == pytest.approx(2.62 - 0.070 / 2.286, abs=0.005)


@pytest.mark.parametrize(
    ("temperature_c", "saturated_g_per_l"), [(5, 241), (10, 262), (15, 286), (20, 311), (25, 339), (30, 368)]
)
def test_liquid_over_crystals_is_saturated(temperature_c, saturated_g_per_l):
    settled = settle(bath(12, 420), temperature_c=temperature_c)

    # reference chemistry, from the CRC Handbook's solubilities, 98th ed., 2017
    assert settled.liquid_strength_g_per_l == pytest.approx(saturated_g_per_l, abs=3)


def test_a_warm_bath_has_nothing_on_its_floor():
    settled = settle(bath(12, 250), temperature_c=18)

    assert settled.crystals_g == 0
    assert (settled.liquid_volume_l, settled.liquid_strength_g_per_l) == pytest.approx((12, 250))


def test_crystals_on_the_floor_can_be_redone_from_what_is_shown():
    settled = settle(bath(2.62, 286), temperature_c=10)

    assert redone(settled.working) == pytest.approx(settled.crystals_g, rel=1e-9)


def test_a_bath_that_only_dried_wants_only_water():
    mixed = replay([Mixed(day=0, water_l=11, salt_g=3000), DryingRate(day=0, g_per_day=50)])[-1]
    dried = forecast(mixed, days=10)

    advice = advise(dried, strength=mixed.strength_g_per_l, litres=mixed.volume_l)

    assert advice.water_l == pytest.approx(0.5, abs=0.002)
    assert (advice.salt_g, advice.remove_l, advice.warnings) == (0, 0, ())


def test_a_bath_carried_off_on_plates_wants_water_and_crystals():
    advice = advise(bath(11, 250))

    assert advice.salt_g == pytest.approx(250)
    assert advice.water_l == pytest.approx(0.9, abs=0.05)
    assert advice.remove_l == 0


def test_a_weak_bath_of_the_right_volume_gives_some_up_for_crystals():
    advice = advise(bath(12, 200))

    assert advice.remove_l > 0
    assert advice.water_l == 0
    assert (advice.strength_g_per_l, advice.volume_l) == pytest.approx((250, 12))


def test_an_over_strong_full_tank_gives_some_up_first():
    advice = advise(bath(12, 280))

    assert advice.remove_l == pytest.approx(12 * (1 - 250 / 280))
    assert advice.salt_g == 0
    assert (advice.strength_g_per_l, advice.volume_l) == pytest.approx((250, 12))
    assert advice.warnings == ()


def test_a_bath_that_is_as_wanted_wants_nothing():
    advice = advise(bath(12, 250))

    assert (advice.water_l, advice.salt_g, advice.remove_l) == (0, 0, 0)


def test_a_strength_the_cold_room_cannot_hold_is_lowered_with_a_warning():
    advice = advise(bath(11, 250), strength=300, coldest_c=10)

    assert advice.strength_g_per_l == pytest.approx(262, abs=1)
    assert advice.warnings == (
        "At 10 °C a bath holds only 262 g/L; anything stronger drops crystals. The amounts go no further than that.",
    )
    assert settle(bath(advice.volume_l, advice.strength_g_per_l), temperature_c=10).crystals_g == 0


def test_a_volume_the_tank_cannot_hold_is_lowered_with_a_warning():
    advice = advise(bath(11, 250), litres=20)

    assert advice.volume_l == pytest.approx(13)
    assert advice.warnings == ("The tank holds 13 L to the rim. The amounts fill it no further than that.",)


def test_a_warm_bath_is_filled_less_because_it_swells():
    warm = advise(bath(11, 250), litres=20, temperature_c=35)

    assert warm.volume_l < 12.95


def test_a_room_that_freezes_is_warned_of():
    assert "ice" in advise(bath(11, 100), strength=100, coldest_c=-8).warnings[-1]


def test_crystals_are_stirred_up_before_bath_is_taken_out():
    advice = advise(bath(12, 300), temperature_c=8)

    assert advice.remove_l > 0
    assert "warm and stir" in advice.warnings[-1]


@pytest.mark.parametrize(
    "nonsense",
    [
        {"strength": -1},
        {"strength": float("nan")},
        {"litres": -1},
        {"rim_l": 0},
        {"coldest_c": 100},
        {"temperature_c": 90},
    ],
)
def test_only_nonsense_is_refused(nonsense):
    with pytest.raises(ValueError, match="must be between"):
        advise(bath(11, 250), **nonsense)


@pytest.mark.parametrize("state", [bath(11, 250), bath(12, 200), bath(12, 280), bath(13.5, 290)])
def test_every_amount_can_be_redone_from_what_is_shown(state):
    advice = advise(state)

    assert [redone(working) for working in advice.working] == pytest.approx(
        [advice.water_l, advice.salt_g, advice.remove_l], abs=1e-6
    )
