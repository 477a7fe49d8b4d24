"""Figures in the units of the studio: whatever is shown can be typed back, and comes to what was stored."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import locale, units, vessels
from chemistry.copper import gauges
from chemistry.locale import Locale
from chemistry.quantity import MOST_CONVERTED, quantity
from studio.pages.fields import AmountField, NumberAndUnit, NumberField
from studio.pages.quantities import Units, with_spread
from studio.workshop.models import Workshop
from studio.workshop.regions import USUAL

AMERICAN = Workshop(**USUAL[Workshop.Region.US], region="us").units
KINDS = {"L": "volume", "mL": "volume", "g": "mass", "kg": "mass", "mm": "length", "cm": "length", "cm²": "area"}
PER_BASE = {"L": 1e6, "mL": 1e3, "g": 1e3, "kg": 1e6, "mm": 1, "cm": 10, "cm²": 100}
SHOWN_TO = 10**-MOST_CONVERTED * 5.01  # half of the last of the digits that are shown


@pytest.mark.parametrize("here", [AMERICAN, Units(numbers="12 345,6")], ids=["American", "metric"])
@pytest.mark.parametrize("unit", KINDS)
@given(value=st.floats(min_value=2, max_value=5000))
def test_what_is_shown_is_typed_back_as_what_was_stored(here, unit, value):
    with locale.override(here):
        typed = quantity(value, unit, MOST_CONVERTED)
        stored = units.parse(typed, KINDS[unit])

    # the ledger holds whole base units
    assert stored == pytest.approx(value * PER_BASE[unit], rel=0, abs=1 + SHOWN_TO * value * PER_BASE[unit])


@given(value=st.floats(min_value=0.1, max_value=200), share=st.floats(min_value=0.001, max_value=0.5))
def test_a_figure_and_its_spread_are_read_in_one_unit(value, share):
    with locale.override(AMERICAN):
        shown = with_spread(value, share * value, "L")

    places = [len(number.partition(".")[2]) for number in (shown.value, shown.half_width)]
    assert places[0] == places[1]
    assert shown.unit in ("fl oz", "qt", "gal")


@pytest.mark.parametrize("unit", ["mL", "L", "g", "kg", "g/L", "mm", "cm", "°C"])
@given(value=st.floats(min_value=1, max_value=500))
def test_a_number_comes_back_out_of_its_field(unit, value):
    with locale.override(AMERICAN):
        field = NumberField(low=0, high=1000, unit=unit)

        assert field.clean(field.prepare_value(value)) == pytest.approx(value, rel=1e-3, abs=0.03)


def test_a_refusal_names_the_bounds_in_the_units_of_the_studio():
    with locale.override(AMERICAN), pytest.raises(Exception, match="outside 0 to 3.381 fl oz"):
        NumberField(low=0, high=100, unit="mL").clean("50")


def test_the_units_of_the_studio_are_offered_first_and_before_them_the_one_typed_last():
    offered = NumberAndUnit(["mL", "L"])
    with locale.override(AMERICAN):
        here = offered.offered
        offered.last = "L"

        assert (here, offered.offered[0]) == (["fl oz", "pt", "qt", "gal", "mL", "L"], "L")


def test_a_british_studio_is_offered_the_gallon_that_it_types():
    british = Workshop(**USUAL[Workshop.Region.GB] | {"volume": "gal", "mass": "lb", "strength": "oz/gal"}, region="gb")
    with locale.override(british.units):
        assert NumberAndUnit(["L"]).offered == ["imp gal", "imp qt", "imp pt", "L"]
        assert vessels.parse_typed("5 gal", "volume") == units.parse("5 imp gal", "volume") == 22_730_450
        assert quantity(22.73045, "L") == "5 imp gal"
        assert quantity(10, "g/L") == "1.604 oz/imp gal"
        assert str(british.units.strength(200)).replace("\u00a0", " ") == "32.1 oz/imp gal"


@pytest.mark.parametrize(
    ("here", "shown"),
    [
        (Locale(thickness="in"), "0.027 in, 20 oz/ft²"),  # ASTM B370, 20 oz: 0.0270 in, from memory
        (Locale(thickness="mil"), "27 mil"),
        (Locale(), "0.69 mm"),
    ],
)
def test_copper_by_the_ounce_is_a_thickness(here, shown):
    with locale.override(here):
        assert gauges.written(gauges.thickness_um("0.027 in")) == shown
        assert gauges.thickness_um("20 oz") == pytest.approx(0.027 * 25_400, rel=0.01)


def test_a_region_presets_every_setting_of_figures():
    assert {region: set(usual) for region, usual in USUAL.items()} == {
        region: set(USUAL[Workshop.Region.EU]) for region in Workshop.Region
    }


def test_an_american_studio_reads_numbers_with_commas():
    with locale.override(AMERICAN):
        assert re.fullmatch(r"1,322 gal", quantity(5003, "L"))


@pytest.mark.parametrize(
    ("typed", "litres"),
    [("5 gal", 22.730), ("2 pt", 1.137), ("5 US gal", 18.927), (["5", "gal"], 18.927), (["5 gal", "gal"], 22.730)],
)
def test_a_british_gallon_is_its_own_unless_the_unit_beside_it_says_us(typed, litres):
    with locale.override(Workshop(**USUAL[Workshop.Region.GB], region="gb").units):
        assert AmountField(dimension="volume", unit="gal").clean(typed) == pytest.approx(litres * 1e6, abs=500)
