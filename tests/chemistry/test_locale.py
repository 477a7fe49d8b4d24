"""Numbers as a studio writes them, and reads them again."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import locale, units
from chemistry.locale import Locale
from chemistry.measured import digits, plain

WAYS = ["12,345.6", "12 345.6", "12 345,6", "12.345,6"]
values = st.floats(min_value=0, max_value=1e9, allow_nan=False)


@pytest.mark.parametrize("numbers", WAYS)
@given(value=values, decimals=st.integers(0, 4))
def test_what_is_shown_is_typed_back_as_the_same_number(numbers, value, decimals):
    with locale.override(Locale(numbers)):
        typed = plain(value, decimals)

        assert float(units.parse_number(typed)) == pytest.approx(round(value, decimals), abs=1e-9)


@pytest.mark.parametrize("numbers", WAYS)
@given(value=values)
def test_no_line_ends_inside_a_number(numbers, value):
    with locale.override(Locale(numbers)):
        assert re.fullmatch(r"[\d.,\u202f]+", digits(value))


@pytest.mark.parametrize(
    ("numbers", "shown"),
    [("12,345.6", "1,250.50"), ("12 345.6", "1250.50"), ("12 345,6", "1250,50"), ("12.345,6", "1.250,50")],
)
def test_four_digits_are_parted_by_no_space(numbers, shown):
    with locale.override(Locale(numbers)):
        assert plain(1250.5, 2) == shown


@pytest.mark.parametrize(
    ("numbers", "typed", "meant"),
    [
        ("12,345.6", "1,250", 1250),
        ("12,345.6", "1.250", Fraction("1.25")),
        ("12,345.6", "1,5", Fraction("1.5")),
        ("12.345,6", "1.250", 1250),
        ("12.345,6", "1,250", Fraction("1.25")),
        ("12.345,6", "1.5", Fraction("1.5")),
        ("12 345,6", "12 500", 12_500),
        ("12 345,6", "1,250", Fraction("1.25")),
        ("12 345.6", "12 500.5", Fraction("12500.5")),
        ("12 345.6", "1 1/2", Fraction("1.5")),
        ("12 345.6", "1 125/1000", Fraction("1.125")),
    ],
)
def test_what_is_typed_is_read_as_the_pages_write(numbers, typed, meant):
    with locale.override(Locale(numbers)):
        assert float(units.parse_number(typed)) == meant


@pytest.mark.parametrize(
    ("numbers", "typed"),
    [
        ("12 345.6", "1,250"),
        ("12 345,6", "1.250"),
        ("12,345.6", "1.250,5"),
        ("12,345.6", "1,25,0"),
        ("12345.6", "1.5.0"),
    ],
)
def test_marks_of_somewhere_else_are_questioned(numbers, typed):
    with locale.override(Locale(numbers)), pytest.raises(units.NotUnderstood):
        units.parse_number(typed)


def test_nothing_is_marked_for_a_machine():
    assert (plain(58312.4, -2), digits(1_250_000)) == ("58300", "1250000")
