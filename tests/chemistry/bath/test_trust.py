"""A reading that somebody trusts against the book: whatever bath the book had, the bath is then as it was read."""

from math import isfinite

import pytest

from chemistry.bath import (
    Adopted,
    DensityRead,
    DryingRate,
    LevelRead,
    Mixed,
    Titrated,
    expected,
    forecast,
    is_far_off,
    replay,
    trust,
)
from chemistry.solution import sulfate


def adopted(strength_g_per_l, sd=5.0):
    begun = Adopted(day=0, volume_l=12, strength_g_per_l=strength_g_per_l, volume_sd_l=0.1, strength_sd_g_per_l=sd)
    return replay([begun])[-1]


def dried_up():
    tray = replay([Mixed(day=0, water_l=3, salt_g=800), DryingRate(day=0, g_per_day=40)])[-1]
    return forecast(tray, days=400)


BATHS = {
    "nothing in it": adopted(0, sd=0),
    "3 g/L": adopted(3, sd=0.15),
    "in range": adopted(240),
    "saturated": adopted(318),
    "over-saturated": adopted(400),
    "dried up": dried_up(),
}
TEMPERATURES_C = (2, 12, 20, 30, 45)


def readings(day):
    for temperature_c in TEMPERATURES_C:
        for sg in (0.95, 0.99, 1.0, 1.05, 1.15, 1.2, 1.3):
            yield DensityRead(day=day, sg=sg, temperature_c=temperature_c)
        for volume_l in (0.0, 0.1, 1.0, 6.0, 12.9):
            yield LevelRead(day=day, volume_l=volume_l, sd_l=0.04, temperature_c=temperature_c)
    for mol_per_l in (0.0, 0.1, 0.96, 1.3, 2.38):
        yield Titrated(day=day, mol_per_l=mol_per_l, sd=max(0.0005, 0.01 * mol_per_l))


@pytest.mark.parametrize("book", BATHS.values(), ids=BATHS)
def test_any_reading_can_be_trusted_of_any_bath(book):
    for reading in readings(book.day + 1):
        trusted = trust(book, reading)

        figures = (trusted.water_g, trusted.salt_g, trusted.strength_g_per_l, trusted.volume_l)
        assert all(isfinite(figure) and figure >= 0 for figure in figures), reading
        assert all(trusted.covariance[i][i] >= 0 for i in range(4)), reading
        before, after = expected(book, reading), expected(trusted, reading)
        assert abs(reading.reading - after.value) <= abs(reading.reading - before.value) + 1e-9, reading


def test_a_strength_that_a_bath_can_have_is_then_the_baths():
    for book in BATHS.values():
        for temperature_c in TEMPERATURES_C:
            for strength_g_per_l in (20, 150, 230):
                w = sulfate.mass_fraction_from_strength(strength_g_per_l, 20)
                sg = sulfate.sg(w, temperature_c)
                reading = DensityRead(day=book.day + 1, sg=sg, temperature_c=temperature_c)
                if is_far_off(book, reading):
                    trusted = trust(book, reading)
                    assert trusted.strength_g_per_l == pytest.approx(strength_g_per_l, abs=8)


def test_a_strength_that_is_trusted_leaves_the_level_about_where_it_was():
    for book in (adopted(0, sd=0), adopted(3), adopted(240), adopted(318)):
        for sg in (1.05, 1.1, 1.15):
            trusted = trust(book, DensityRead(day=1, sg=sg))

            assert trusted.volume_l == pytest.approx(12, rel=0.12)


def test_a_level_that_is_trusted_is_then_the_baths():
    for book in (adopted(0, sd=0), adopted(3), adopted(240)):
        for volume_l in (2.0, 6.0, 12.9):
            trusted = trust(book, LevelRead(day=1, volume_l=volume_l, sd_l=0.04))

            assert trusted.volume_l == pytest.approx(volume_l, abs=0.05)


def test_a_difference_within_the_straight_part_is_told_as_one_reading_tells_it():
    book = adopted(240)
    reading = DensityRead(day=1, sg=1.165)

    trusted = trust(book, reading)

    assert is_far_off(book, reading) and not is_far_off(trusted, reading)
    assert trusted.strength_sd_g_per_l < book.strength_sd_g_per_l
