import pytest

from chemistry.bath import (
    Adopted,
    Bitten,
    CrystalsAdded,
    DensityRead,
    Doubted,
    DryingRate,
    LevelRead,
    Mixed,
    Removed,
    SolutionAdded,
    Titrated,
    WaterAdded,
    replay,
)
from chemistry.solution import sulfate

BATH = Mixed(day=0, water_l=11, salt_g=3000)


def after(*events, bath=BATH):
    return replay([bath, *events])[-1]


def sd(state, figure):
    return state.covariance[figure][figure] ** 0.5


def test_three_kilos_in_eleven_litres_make_a_bath_in_range():
    state = after()

    assert state.volume_l == pytest.approx(12.13, abs=0.05)
    assert state.strength_g_per_l == pytest.approx(247, abs=1)


def test_a_hundred_grams_in_a_litre():
    state = after(bath=Mixed(day=0, water_l=1, salt_g=100))

    # sulfate_checks.json, regression: 1 kg of water at 20 °C and 100 g make 1.0363 L at 96.49 g/L
    assert state.volume_l == pytest.approx(1.0363, abs=0.003)
    assert state.strength_g_per_l == pytest.approx(96.5, abs=0.3)


def test_a_mixed_bath_is_as_sure_as_jug_and_scale():
    state = after()

    assert sd(state, 0) == pytest.approx((0.02 * 11 + 0.010) * 998.2, rel=1e-4)
    assert sd(state, 1) == pytest.approx(((0.005 * 3000 + 1) ** 2 + (0.004 * 3000) ** 2) ** 0.5)


def test_damp_crystals_count_by_their_purity():
    state = after(bath=Mixed(day=0, water_l=11, salt_g=3000, purity=0.99))

    assert state.salt_g == pytest.approx(2970)


def test_cups_make_a_vaguer_bath_than_a_scale():
    state = after(bath=Mixed(day=0, water_l=11, salt_g=3000, salt_sd_g=300))

    assert sd(state, 1) == 300
    assert state.strength_sd_g_per_l > 4 * after().strength_sd_g_per_l


def test_an_adopted_bath_is_what_was_said_of_it():
    state = after(bath=Adopted(day=0, volume_l=4, strength_g_per_l=210, volume_sd_l=0.2, strength_sd_g_per_l=20))

    assert (state.volume_l, state.strength_g_per_l) == pytest.approx((4, 210))
    assert (state.volume_sd_l, state.strength_sd_g_per_l) == pytest.approx((0.2, 20))


def test_water_weakens_and_leaves_the_salt():
    state = after(WaterAdded(day=1, litres=1))

    assert state.salt_g == after().salt_g
    assert state.volume_l == pytest.approx(after().volume_l + 1, abs=0.02)
    assert state.strength_g_per_l < after().strength_g_per_l


def test_cold_water_weighs_more():
    assert after(WaterAdded(day=1, litres=1, temperature_c=5)).water_g > after(WaterAdded(day=1, litres=1)).water_g


def test_crystals_strengthen_and_bring_their_own_water():
    state = after(CrystalsAdded(day=1, grams=120))

    assert state.salt_g == after().salt_g + 120
    assert state.water_g == after().water_g
    assert state.volume_l > after().volume_l


def test_solution_of_the_same_strength_changes_only_the_volume():
    strength = after().strength_g_per_l

    state = after(SolutionAdded(day=1, litres=0.5, strength_g_per_l=strength, sd_l=0, strength_sd_g_per_l=0))

    assert state.strength_g_per_l == pytest.approx(strength)
    assert state.volume_l == pytest.approx(after().volume_l + 0.5)


def test_pouring_takes_bath_and_leaves_the_strength():
    state = after(Removed(day=1, litres=0.6))

    assert state.volume_l == pytest.approx(after().volume_l - 0.6)
    assert state.strength_g_per_l == pytest.approx(after().strength_g_per_l)


def test_a_poured_jug_is_less_sure_than_measured_drips():
    jug = after(Removed(day=1, litres=0.6))
    measured = after(Removed(day=1, litres=0.6, sd_l=0.001))

    assert jug.volume_sd_l > measured.volume_sd_l


def test_crystals_lifted_off_the_floor_take_no_free_water():
    state = after(Removed(day=1, litres=0, sd_l=0, crystals_g=70))

    assert state.water_g == after().water_g
    assert state.salt_g == after().salt_g - 70


def test_liquid_poured_off_crystals_is_no_stronger_than_saturated():
    salty = Mixed(day=0, water_l=1, salt_g=500)

    state = after(Removed(day=1, litres=0.5, sd_l=0), bath=salty)

    taken_g = 500 - state.salt_g
    assert taken_g == pytest.approx(0.5 * 311, rel=0.01)  # saturated at 20 °C: reference table, 311 g/L


def test_more_poured_than_the_book_has_leaves_the_dregs():
    state = after(Removed(day=1, litres=500))

    assert 0 < state.volume_l < 0.01 * after().volume_l + 1e-9
    assert state.strength_g_per_l == pytest.approx(after().strength_g_per_l)


def test_an_open_bath_loses_water_and_grows_stronger():
    state = after(DryingRate(day=0, g_per_day=50), Bitten(day=10, charge_ah=0))

    assert state.water_g == pytest.approx(after().water_g - 500)
    assert state.salt_g == after().salt_g


def test_under_a_lid_nothing_dries():
    state = after(DryingRate(day=0, g_per_day=50), DryingRate(day=0, g_per_day=0), Bitten(day=10, charge_ah=0))

    assert state.water_g == after().water_g


def test_a_bath_left_for_years_keeps_a_strength():
    state = after(DryingRate(day=0, g_per_day=50), Bitten(day=2000, charge_ah=0))

    assert 0 < state.volume_l < 2
    assert state.strength_g_per_l < 2286  # nothing is denser in salt than the crystal itself


def test_a_room_that_always_dries_faster_is_learned_from_levels():
    dry_days = range(10, 100, 10)
    levels = [LevelRead(day=day, volume_l=12.15 - 0.08 * day, sd_l=0.05) for day in dry_days]

    state = after(DryingRate(day=0, g_per_day=40), *levels)

    assert state.drying_factor == pytest.approx(2, abs=0.2)
    assert state.drying_g_per_day == pytest.approx(80, abs=8)


def test_a_hydrometer_that_always_reads_high_is_learned_from_titrations():
    true_sg = sulfate.sg(sulfate.mass_fraction_from_strength(0.99 * 249.686, 20), 20)
    titrated = [Titrated(day=day, mol_per_l=0.99, sd=0.003) for day in range(1, 30)]
    floated = [DensityRead(day=30 + day, sg=true_sg + 0.004) for day in range(1, 30)]

    state = after(*titrated, *floated)

    assert state.hydrometer_offset == pytest.approx(0.004, abs=0.0005)
    assert state.strength_g_per_l == pytest.approx(247.2, abs=0.7)


def test_a_level_narrows_the_volume():
    state = after(LevelRead(day=1, volume_l=12.0, sd_l=0.04))

    assert state.volume_l == pytest.approx(12.0, abs=0.03)
    assert state.volume_sd_l < 0.045


def test_a_hydrometer_narrows_the_strength():
    state = after(DensityRead(day=1, sg=1.150))

    assert state.strength_g_per_l < after().strength_g_per_l
    assert state.strength_sd_g_per_l < after().strength_sd_g_per_l


def test_a_warm_reading_means_a_stronger_bath_than_the_same_reading_cold():
    warm = after(DensityRead(day=1, sg=1.150, temperature_c=28))
    cold = after(DensityRead(day=1, sg=1.150, temperature_c=12))

    assert warm.strength_g_per_l > cold.strength_g_per_l


def test_a_titration_narrows_the_strength():
    state = after(Titrated(day=1, mol_per_l=1.0, sd=0.001))

    assert state.strength_g_per_l == pytest.approx(249.7, abs=0.3)


def test_a_bite_keeps_the_copper_give_or_take():
    state = after(Bitten(day=1, charge_ah=4))

    assert state.salt_g == after().salt_g
    assert state.strength_sd_g_per_l > after().strength_sd_g_per_l


def test_a_bite_in_two_runs_is_as_vague_as_in_one():
    once = after(Bitten(day=1, charge_ah=4))
    twice = after(Bitten(day=1, charge_ah=1), Bitten(day=1, charge_ah=3))

    assert twice.strength_sd_g_per_l == pytest.approx(once.strength_sd_g_per_l)


def test_doubt_opens_the_spread_so_that_the_next_reading_weighs_more():
    reading = DensityRead(day=1, sg=1.140)
    doubt = Doubted(day=1, water_sd_l=1, salt_sd_g=250)

    believed, doubted = after(reading), after(doubt, reading)

    assert after(doubt).strength_sd_g_per_l > after().strength_sd_g_per_l
    assert doubted.strength_g_per_l < believed.strength_g_per_l


COLD_BATH = Adopted(day=0, volume_l=12, strength_g_per_l=280, volume_sd_l=0.1, strength_sd_g_per_l=8)
SATURATED_SG_AT_5 = sulfate.sg(sulfate.solubility_mass_fraction(5), 5)


def test_over_crystals_the_hydrometer_says_nothing_of_what_lies_below():
    state = after(DensityRead(day=1, sg=SATURATED_SG_AT_5, temperature_c=5), bath=COLD_BATH)

    assert state.strength_g_per_l == pytest.approx(280)
    assert state.strength_sd_g_per_l == pytest.approx(8)


def test_a_liquid_read_clearly_below_saturation_speaks_for_all_the_salt():
    state = after(DensityRead(day=1, sg=SATURATED_SG_AT_5 - 0.020, temperature_c=5), bath=COLD_BATH)

    assert state.strength_g_per_l < 250


def test_over_crystals_a_stronger_reading_than_the_book_still_raises_the_salt():
    state = after(DensityRead(day=1, sg=1.200, temperature_c=5), bath=COLD_BATH)

    assert state.strength_g_per_l > 285


def test_a_titration_of_a_saturated_liquid_says_nothing_of_the_crystals():
    piled_up = Adopted(day=0, volume_l=3, strength_g_per_l=400, volume_sd_l=0.1, strength_sd_g_per_l=10)

    state = after(Titrated(day=1, mol_per_l=1.245, sd=0.01), bath=piled_up)

    assert state.strength_g_per_l == pytest.approx(400)


def test_a_fresh_bath_forgets_the_old_salt_but_not_the_room_or_the_hydrometer():
    levels = [LevelRead(day=day, volume_l=12.15 - 0.08 * day, sd_l=0.05) for day in range(10, 60, 10)]
    fresh = Mixed(day=60, water_l=3.5, salt_g=800)

    before = after(DryingRate(day=0, g_per_day=40), *levels)
    state = after(DryingRate(day=0, g_per_day=40), *levels, fresh)

    assert (state.salt_g, state.strength_sd_g_per_l) == (
        800,
        pytest.approx(after(bath=Mixed(day=0, water_l=3.5, salt_g=800)).strength_sd_g_per_l),
    )
    assert state.drying_factor == pytest.approx(before.drying_factor)
    assert state.prior_g_per_day == 40


@pytest.mark.parametrize(
    ("event", "fields", "says"),
    [
        (Mixed, {"water_l": 0, "salt_g": 100}, "water_l must be between 0.01 and 10000, not 0"),
        (Mixed, {"water_l": 1, "salt_g": -1}, "salt_g"),
        (Mixed, {"water_l": 1, "salt_g": 1, "purity": 1.1}, "purity must be between 0.01 and 1, not 1.1"),
        (Mixed, {"water_l": 1, "salt_g": 1, "water_sd_l": -0.1}, "water_sd_l"),
        (Mixed, {"water_l": 1, "salt_g": 1, "temperature_c": 99}, "temperature_c must be between -1.5 and 60, not 99"),
        (
            Adopted,
            {"volume_l": 4, "strength_g_per_l": 900, "volume_sd_l": 0.1, "strength_sd_g_per_l": 1},
            "strength_g_per_l",
        ),
        (WaterAdded, {"litres": float("nan")}, "litres must be between 0 and 10000, not nan"),
        (CrystalsAdded, {"grams": float("inf")}, "grams"),
        (SolutionAdded, {"litres": 1, "strength_g_per_l": 1, "sd_l": -1, "strength_sd_g_per_l": 1}, "sd_l"),
        (Removed, {"litres": -0.1}, "litres"),
        (LevelRead, {"volume_l": 12, "sd_l": 0}, "sd_l"),
        (DensityRead, {"sg": 19.7}, "sg must be between 0.95 and 1.5, not 19.7"),
        (Titrated, {"mol_per_l": 3, "sd": 0.1}, "mol_per_l"),
        (Bitten, {"charge_ah": -1}, "charge_ah"),
        (DryingRate, {"g_per_day": -1}, "g_per_day"),
        (Doubted, {"water_sd_l": -1, "salt_sd_g": 1}, "water_sd_l"),
    ],
)
def test_an_event_refuses_nonsense_and_names_the_range(event, fields, says):
    with pytest.raises(ValueError, match=says):
        event(day=0, **fields)


@pytest.mark.parametrize("day", [-1, float("nan"), float("inf")])
def test_an_event_refuses_an_impossible_day(day):
    with pytest.raises(ValueError, match="day must be between 0 and 100000"):
        Bitten(day=day, charge_ah=1)


def test_events_are_written_by_name_and_never_changed():
    event = WaterAdded(day=1, litres=0.5)

    with pytest.raises(TypeError):
        WaterAdded(1, 0.5)
    with pytest.raises(AttributeError):
        event.litres = 5
