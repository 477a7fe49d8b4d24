import re
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.forms import BaseForm

from chemistry import locale
from chemistry.locale import Locale
from inventory import cells
from studio.orders import prices
from studio.orders.forms import PacksField, PriceField
from studio.waste.forms import disposals as _disposals  # noqa: F401  # it asks for money too
from studio.workshop.models import Workshop


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


AMOUNTS = {
    "USD": {"$34.95": 3_495, "USD 34.95": 3_495, "$1,234.50": 123_450, "34.95$": 3_495, "$ 7": 700},
    "EUR": {"34,95 €": 3_495, "€34.95": 3_495, "1.234,50 €": 123_450, "1 234,50 €": 123_450, "12,- EUR": 1_200},
    "GBP": {"£3.50": 350, "£ 1,234.50": 123_450, "3.50 GBP": 350},
    "CHF": {"CHF 1'234.50": 123_450, "1’234.50 Fr.": 123_450, "CHF 5.-": 500, "Fr. 3.50": 350},
    "CAD": {"$34.95": 3_495, "CA$34.95": 3_495},
    "SEK": {"349,50 kr": 34_950},
}


@pytest.mark.parametrize("numbers", Workshop.Numbers.values)
@pytest.mark.parametrize(
    ("currency", "typed", "cents"),
    [(currency, *each) for currency, amounts in AMOUNTS.items() for each in amounts.items()],
)
def test_money_is_read_as_bills_have_it_whatever_the_marks_of_the_studio(currency, typed, cents, numbers):
    with locale.override(Locale(numbers, currency=currency)):
        assert PriceField().clean(typed) == cents
        assert cells.cents(typed, currency) == cents


@pytest.mark.parametrize(("currency", "typed"), [("EUR", "$5"), ("EUR", "CHF 5"), ("USD", "5 €"), ("CAD", "US$ 5")])
def test_money_of_another_currency_is_refused(currency, typed):
    with locale.override(Locale(currency=currency)), pytest.raises(ValidationError, match="another currency"):
        PriceField().clean(typed)


def test_every_field_for_money_reads_it_so():
    asked = {
        f"{form.__name__}.{name}": type(field)
        for form in forms_of_the_house()
        for name, field in form.base_fields.items()
        if re.search("cents|price|cost|money", name) and name != "money"
    }

    assert len(asked) >= 3
    assert set(asked.values()) == {PriceField}


def forms_of_the_house(of=BaseForm):
    for form in of.__subclasses__():
        yield from [form] * form.__module__.startswith("studio")
        yield from forms_of_the_house(form)


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
