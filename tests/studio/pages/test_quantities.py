import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry.bath import events
from chemistry.ranges import OutOfRange
from studio.pages import quantities
from studio.pages.quantities import Units, with_spread


@given(st.integers(min_value=0, max_value=10**12))
def test_whole_milligrams_survive_the_way_through_grams(mg):
    assert quantities.mass_mg(quantities.grams(mg)) == mg


@given(st.floats(min_value=-40, max_value=60))
def test_temperatures_survive_the_way_through_fahrenheit(degrees):
    assert quantities.celsius(quantities.fahrenheit(degrees)) == pytest.approx(degrees, abs=1e-9)


def test_a_strength_is_shown_with_half_its_95_percent_interval():
    assert str(Units().strength(251.3, 3.06)) == "251 ± 6 g/L"


def test_a_baume_studio_reads_baume():
    """NBS Circular 19's modulus of 145; 182.3 g/L is 15 degrees by the density of Laliberté 2009."""
    shown = Units(strength_unit="°Bé").strength(182.3, 5)

    assert (shown.value, shown.unit) == ("15.0", "°Bé")
    assert float(shown.half_width) == pytest.approx(0.7, abs=0.1)


def test_an_exact_figure_does_not_grow_digits_without_end():
    assert str(with_spread(1, 0, "L")) == "1 L"


def test_a_fahrenheit_studio_reads_and_types_fahrenheit():
    units = Units(temperature_unit="°F")

    assert str(units.temperature(20)) == "68 °F"
    assert units.degrees_c(68) == 20


def test_a_temperature_with_a_spread_keeps_it_in_fahrenheit():
    assert str(Units().temperature(7, 1)) == "7 ± 2 °C"
    assert str(Units(temperature_unit="°F").temperature(7, 1)) == "45 ± 4 °F"


def test_nothing_is_minus_nought():
    assert str(Units().temperature(-0.4)) == "0 °C"
    assert str(with_spread(-0.2, 3, "g/L")) == "0 ± 6 g/L"


def test_a_bath_dried_past_the_strongest_solution_still_reads_in_baume():
    assert Units(strength_unit="°Bé").strength(900, 20).unit == "°Bé"


def test_a_studio_that_reads_mil_reads_and_types_them():
    mil = Units(depth_unit="mil")

    assert (str(mil.depth(50.8, 5.08)), str(mil.depth(50.8))) == ("2.0 ± 0.4 mil", "2.0 mil")
    assert mil.um(2) == pytest.approx(50.8)
    assert (str(Units().depth(20.4, 3)), Units().um(20)) == ("20 ± 6 µm", 20)


def test_a_figure_beyond_a_sum_is_said_in_the_studios_units_and_never_by_its_name():
    def said(units, *figure):
        return " ".join(units.outside(OutOfRange(*figure)).split())

    for name, (low, high) in events.LIMITS.items():
        words = said(Units(strength_unit="°Bé", temperature_unit="°F"), name, 2 * high + 1, low, high)
        assert name not in words and "_" not in words
    assert said(Units(), "strength_g_per_l", 700, 0, 400).startswith("700 g/L is outside 0 g/L to 400 g/L")
    assert said(Units(temperature_unit="°F"), "temperature_c", 100, 0, 60).startswith("212 °F is outside")
    assert said(Units(), "volume_sd_l", 1, 0, 0.5).startswith("1.96 L is outside 0 L to 0.98 L")
