"""Amounts with the vessel that they stand in: what is typed at a bench or in a list as "5 lb bag", "sac de 5 kg"."""

import re
from functools import cache

from chemistry import locale, units

TIMES = re.compile(r"(?P<times>\d{1,3})\s*(?:[x×*@]|mal)\s*(?P<each>\d.*)", re.I)
IN_VESSELS = re.compile(
    r"(?P<times>\d{1,3})\s*(?P<vessel>[^\W\d_]+)\.?\s*"
    r"(?:of|de|d['’]|à|a|zu|zu je|je|mit|con|da|van|x|×|@|=|:)?\s*(?P<each>\d.*)",
    re.I,
)
VESSEL_FIRST = re.compile(r"(?P<vessel>[^\W\d_]+)\s*(?:of|de|d['’]|à|a|zu|mit|con|da|van|:)?\s*(?P<each>\d.*)", re.I)
VESSEL_LAST = re.compile(r"(?P<each>.*\d.*[^\W\d_]\.?)\s+(?P<vessel>[^\W\d_]+)", re.I)
MORE_VESSELS = frozenset(
    units.words(
        "drum drums cartridge cartridges carboy carboys demijohn container containers gebinde behälter fass fässer "
        "tub tubs ballon fût fûts tambour garrafa bombona fusto vat vaten "
        "kübel schale tray trays unit units"
    )
)


def parse_typed(text: str, dimension: str, *, cups: units.Cups = "us", unit: str = "") -> int:
    """
    Read an amount as this studio means it: its pints may be those of Great Britain, and a vessel is said in passing.

    >>> parse_typed("5 lb bag", "mass"), parse_typed("sac de 5 kg", "mass"), parse_typed("2 bidons de 5 L", "volume")
    (2267962, 5000000, 10000000)
    >>> with locale.override(locale.Locale(imperial=True)):
    ...     parse_typed("1 gal jug", "volume"), parse_typed("1 us pt", "volume")
    (4546090, 473176)
    """
    meant = units.in_imperial(text) if locale.current().imperial else text
    try:
        return units.parse(meant, dimension, cups=cups, unit=unit)
    except units.NotUnderstood as refusal:
        times, each = taken_apart(re.sub(r"\s*[()]\s*", " ", meant).strip())
        try:
            amount = times * units.parse(each, dimension, cups=cups)
        except units.NotUnderstood:
            amount = 0
        # of several mistakes the one in what was typed whole is told
        if not 0 < amount <= units.LARGEST_AMOUNT:
            raise refusal from None
        return amount


def taken_apart(text: str) -> tuple[int, str]:
    """
    How many containers, and the amount in each; what they are is only said in passing.

    >>> [taken_apart(text) for text in ("5 lb bag", "3 x 500 g", "2 bidons de 5 L", "4 Flaschen à 250 ml", "12x18 in")]
    [(1, '5 lb'), (3, '500 g'), (2, '5 L'), (4, '250 ml'), (1, '12x18 in')]
    >>> taken_apart("3 × 5 lb bags"), taken_apart("bag 5 lb"), taken_apart("3 rolls"), taken_apart("2 sheets 12x18 in")
    ((3, '5 lb'), (1, '5 lb'), (1, '3 rolls'), (2, '12x18 in'))
    """
    text = re.sub(r"\s+", " ", text)
    if (match := IN_VESSELS.fullmatch(text)) and is_vessel(match["vessel"]) and has_letter(match["each"]):
        return int(match["times"]), taken_apart(match["each"])[1]
    if (match := TIMES.fullmatch(text)) and is_filled(each := taken_apart(match["each"])[1]):
        return int(match["times"]), each
    if (match := VESSEL_FIRST.fullmatch(text)) and is_vessel(match["vessel"]) and has_letter(match["each"]):
        return taken_apart(match["each"])
    if (match := VESSEL_LAST.fullmatch(text)) and is_vessel(match["vessel"]):
        return taken_apart(match["each"])
    return 1, text


def is_filled(text: str) -> bool:
    """
    Whether a unit of mass, volume or pieces stands in it: 12x18 in is one sheet, and 2 x 500 g are two jars.

    >>> is_filled("500 g"), is_filled("18 in")
    (True, False)
    """
    typed = units.folded(re.sub(r"[^\w²'\". ]|\d|_", " ", text))
    return (
        any(typed in units.units_by_name(each) for each in ("mass", "volume", "count")) or typed in units.KITCHEN_WORDS
    )


@cache
def is_vessel(word: str) -> bool:
    """
    Whether a word names what things stand in.

    >>> is_vessel("Kanister"), is_vessel("tub"), is_vessel("kg")
    (True, True, False)
    """
    return units.folded(word) in units.units_by_name("count") or word.casefold() in MORE_VESSELS


def has_letter(text: str) -> bool:
    """
    Whether more than a number stands in it.

    >>> has_letter("5 lb"), has_letter("1 1/2")
    (True, False)
    """
    return any(map(str.isalpha, text))
