from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError

from chemistry import locale
from chemistry.locale import Locale
from studio.orders import prices
from studio.orders.forms import PacksField, PriceField


@pytest.mark.parametrize(
    ("cents", "currency", "shown"),
    [
        (0, "EUR", "€0.00"),
        (125_050, "EUR", "€1,250.50"),
        (-210, "GBP", "−£2.10"),
        (Fraction(-1, 10), "USD", "$0.00"),
        (Fraction(449, 100), "EUR", "€0.04"),
        (5_400, "CHF", "CHF 54.00"),
    ],
)
def test_a_price_is_read_as_on_a_bill(cents, currency, shown):
    with locale.override(Locale("12,345.6")):
        assert prices.show(cents, currency) == shown


@pytest.mark.parametrize(
    ("price_cents", "amount", "dimension", "shown"),
    [
        (3_100, 2_500_000, "mass", "£1.24 per 100 g"),
        (1_600, 250_000, "volume", "£6.40 per 100 mL"),
        (5_400, 6, "count", "£9.00 per piece"),
        (1_100, 250, "count", "£0.044 per piece"),
        (800, 10_000, "length", "£0.80 per m"),
        (400, 5_000_000, "volume", "£0.08 per 100 mL"),
        (9_200, 276_774, "area", "£3.32 per 100 cm²"),
    ],
)
def test_packs_are_compared_by_what_one_measures_them_in(price_cents, amount, dimension, shown):
    assert prices.per_unit(price_cents, amount, dimension, "GBP") == shown


@pytest.mark.parametrize(("typed", "cents"), [("12.50", 1_250), ("12,5", 1_250), ("0", 0), ("1 1/2", 150), ("", None)])
def test_a_price_is_typed_as_people_type(typed, cents):
    assert PriceField(required=False).clean(typed) == cents


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("1,000", "could be 1000 or 1;"),
        ("$5", "is in another currency"),
        ("-3", "is below zero"),
        ("0.0051", "finer than cents"),
        ("1e5", "has an exponent"),
        ("250000", "more than a pack costs"),
    ],
)
def test_a_price_that_is_refused_has_a_sentence_of_its_own(typed, sentence):
    with pytest.raises(ValidationError, match=sentence):
        PriceField().clean(typed)


def test_a_price_stands_in_its_field_as_it_is_read():
    assert PriceField().prepare_value(1_250) == "12.50"
    assert PriceField().prepare_value("12,5") == "12,5"


@pytest.mark.parametrize("typed", ["two", "1.5", "-1"])
def test_packs_are_whole(typed):
    with pytest.raises(ValidationError, match="A whole number of packs"):
        PacksField().clean(typed)


def test_a_thousand_packs_are_a_slip():
    with pytest.raises(ValidationError, match="At most 999"):
        PacksField().clean("1000")


@pytest.mark.parametrize(
    ("here", "shown"),
    [
        (Locale("12,345.6", currency="USD"), "$1,234.95"),
        (Locale("12 345,6", currency="EUR", money="after"), "1234,95\u00a0€"),
        (Locale("12.345,6", currency="EUR", money="after"), "1.234,95\u00a0€"),
        (Locale("12 345.6", currency="CHF"), "CHF 1234.95"),
        (Locale("12,345.6", currency="GBP"), "£1,234.95"),
    ],
)
def test_a_price_that_is_shown_can_be_typed(here, shown):
    with locale.override(here):
        assert prices.show(123_495, here.currency) == shown
        assert PriceField().clean(shown) == 123_495
