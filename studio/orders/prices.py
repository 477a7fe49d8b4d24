"""Money: whole cents in the book, fractions of them in a sum, and what a studio reads."""

from collections.abc import Iterable
from fractions import Fraction

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry import locale, money, units
from chemistry.measured import plain
from studio.pages.quantities import NO_BREAK

# by what a shelf compares its packs: so many of a unit of the dimension, as either kind of studio reads them
COMPARED_BY = {
    "mass": ((100, "g"), (1, "kg")),
    "volume": ((100, "mL"), (1, "mL")),
    "area": ((100, "cm2"), (100, "cm2")),
    "length": ((1, "m"), (1, "m")),
    "count": ((1, "piece"), (1, "piece")),
}
SMALL_CENTS = 10  # below this a price per piece is read in tenths of a cent


def show(cents: Fraction | int | None, currency: str) -> str:
    """
    A price as it stands on a bill; None where nobody has written one down.

    >>> show(125_050, "EUR"), show(-210, "GBP"), show(Fraction(22, 5), "EUR"), show(5_400, "CHF"), show(None, "EUR")
    ('€1250.50', '−£2.10', '€0.04', 'CHF 54.00', 'price missing')
    """
    return _("price missing") if cents is None else price_with_sign(cents, currency, decimals=2)


def times(packs: int, price_cents: int | None) -> int | None:
    return None if price_cents is None else packs * price_cents


def total(prices: Iterable[int | None], currency: str) -> str:
    """
    What all of it costs together, as far as it is known.

    >>> total([3_100, 200], "EUR"), total([3_100, None], "EUR"), total([None, None], "EUR"), total([], "EUR")
    ('€33.00', '€31.00, 1 price missing', '2 prices missing', '')
    """
    asked = list(prices)
    known = [cents for cents in asked if cents is not None]
    missing = len(asked) - len(known)
    words = ngettext("%(missing)d price missing", "%(missing)d prices missing", missing) % {"missing": missing}
    return ", ".join([show(sum(known), currency)] * bool(known) + [words] * bool(missing))


def per_unit(price_cents: Fraction | int | None, amount: int, dimension: str, currency: str) -> str:
    """
    What a pack asks for 100 g, 100 mL, a piece or a metre; empty where its price is missing.

    >>> per_unit(3_100, 2_500_000, "mass", "GBP"), per_unit(1_100, 250, "count", "EUR")
    ('£1.24 per 100 g', '€0.044 per piece')
    """
    if price_cents is None:
        return ""
    number, of_the_sums = COMPARED_BY[dimension][units.is_customary(dimension)]
    unit = units.own(of_the_sums)
    compared_by = units.parse(f"{number} {unit}", dimension)
    words = f"{number} {units.printed_unit(unit)}" if number > 1 else unit
    cents = Fraction(price_cents) * compared_by / amount
    # a glove at €0.04 and one at €0.044 differ by a tenth of the box
    is_fine = cents < SMALL_CENTS and cents.denominator > 1
    return _("%(cents)s per %(words)s") % {
        "cents": price_with_sign(cents, currency, decimals=3 if is_fine else 2),
        "words": words,
    }


def price_with_sign(cents: Fraction | int, currency: str, *, decimals: int) -> str:
    number = round(abs(Fraction(cents)) / 100, decimals)
    # a loss of less than is shown would read −€0.00
    minus, amount = "−" if cents < 0 and number else "", plain(float(number), decimals)
    sign = money.SHOWN.get(currency)
    if locale.current().money == "after":
        return f"{minus}{amount}{NO_BREAK}{sign or currency}"
    return f"{minus}{sign or f'{currency} '}{amount}"
