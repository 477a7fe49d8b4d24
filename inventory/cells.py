"""What one cell of a list says, or why nobody can tell."""

import calendar
import re
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cache

from django.utils import dates, translation
from django.utils.translation import gettext as _

from chemistry import locale, money, units
from chemistry.locale import Locale
from inventory.headings import plain
from inventory.models import Material
from inventory.wording import translated

BathUse = Material.BathUse
BATH_USES = {
    "blue crystals": BathUse.BLUE_CRYSTALS,
    "pale powder": BathUse.PALE_POWDER,
    "monohydrate": BathUse.MONOHYDRATE,
    **{words.casefold(): use for use in BathUse for words in (use.value, use.label)},
}
MEASURED_BY = {
    **dict.fromkeys(Material.BATH_SALTS, Material.Dimension.MASS),
    BathUse.WATER: Material.Dimension.VOLUME,
}
LANGUAGES = ("en", "de", "fr", "es", "it", "nl")
DAY_FIRST, MONTH_FIRST = "dmy", "mdy"
IN_FIGURES = re.compile(r"(\d{1,4})[./\- ]\s*(\d{1,2})[./\- ]\s*(\d{1,4})(?:[ T]+\d{1,2}:\d\d(?::\d\d)?)?")
A_MONTH = re.compile(r"(\d{1,4})[./\- ](\d{4}|\d{1,2})")
IN_WORDS = re.compile(
    r"(?:(\d{1,2})(?:st|nd|rd|th|er)?[.,]?[ -]*)?([^\W\d_]{3,})\.?,?[ -]*(?:(\d{1,2})(?:st|nd|rd|th)?,[ ]*)?'?(\d{2,4})"
)
SERIAL_EPOCH = date(1899, 12, 30)  # how spreadsheets number their days
SERIALS = range(25_000, 80_000)
FIGURES = re.compile(r"\d[\d.,]*")
MOST_CENTS = 10_000_000  # 100,000 of any currency: a slip rather than a price


class CellNotUnderstood(ValueError):
    """Why one row cannot be brought in."""


def day(
    text: str, what: str, *, order: str = DAY_FIRST, is_end: bool = False, not_after: date | None = None
) -> date | None:
    """
    A day however it is written. order: which comes first where both could be the month. is_end: a month lasts to its
    last day, as a use-by does.
    """
    if not text:
        return None
    read = day_in_figures(text, order, is_end=is_end) or day_in_words(text, is_end=is_end)
    if read is None:
        raise CellNotUnderstood(
            _("“%(typed)s” under %(column)s is no day; write it like 2026-03-31.") % {"typed": text, "column": what}
        )
    if not_after and read > not_after:
        raise CellNotUnderstood(_("%(typed)s under %(column)s has not come yet.") % {"typed": text, "column": what})
    return read


def day_in_figures(text: str, order: str, *, is_end: bool = False) -> date | None:
    """
    >>> [str(day_in_figures(text, "dmy")) for text in ("2026-03-31", "31.3.26", "4/3/2026", "45000", "31/31/2026")]
    ['2026-03-31', '2026-03-31', '2026-03-04', '2023-03-15', 'None']
    >>> str(day_in_figures("4/3/2026", "mdy")), str(day_in_figures("02/2028", "dmy", is_end=True))
    ('2026-04-03', '2028-02-29')
    """
    if text.isdecimal() and int(text) in SERIALS:
        return SERIAL_EPOCH + timedelta(days=int(text))
    if match := A_MONTH.fullmatch(text):
        first, second = match.groups()
        year, month = (first, second) if len(first) == 4 else (second, first)
        return a_day(year, month, "", is_end=is_end)
    match = IN_FIGURES.fullmatch(text)
    if not match:
        return None
    first, second, third = match.groups()
    if len(first) > 2:
        return a_day(first, second, third)
    # nobody writes a point between a month and its day
    return a_day(third, first, second) if order == MONTH_FIRST and "." not in text else a_day(third, second, first)


def day_in_words(text: str, *, is_end: bool = False) -> date | None:
    """
    >>> [str(day_in_words(text)) for text in ("3 March 2026", "March 3, 2026", "3. März 26", "1er févr. 2026", "soon")]
    ['2026-03-03', '2026-03-03', '2026-03-03', '2026-02-01', 'None']
    """
    match = IN_WORDS.fullmatch(text)
    month = match and month_named(plain(match[2]))
    return a_day(match[4], str(month), match[1] or match[3] or "", is_end=is_end) if match and month else None


def a_day(year: str, month: str, in_month: str, *, is_end: bool = False) -> date | None:
    """A year of two figures is of this century; no day is the month's first, or its last."""
    full_year = int(year) + 2000 if len(year) < 3 else int(year)
    try:
        last = calendar.monthrange(full_year, int(month))[1]
        return date(full_year, int(month), int(in_month) if in_month else last if is_end else 1)
    except ValueError:
        return None


def month_named(word: str) -> int | None:
    """
    >>> month_named("maerz"), month_named("fevr"), month_named("dic"), month_named("may")
    (None, 2, 12, 5)
    """
    names = months_by_name()
    return names.get(word) or next(
        (month for name, month in names.items() if len(word) > 2 and name.startswith(word)), None
    )


@cache
def months_by_name() -> Mapping[str, int]:
    """By their names in all of the languages, as Django has them."""
    found: dict[str, int] = {}
    for language in LANGUAGES:
        with translation.override(language):
            for names in (dates.MONTHS, dates.MONTHS_3, dates.MONTHS_AP):
                for number, name in names.items():
                    found.setdefault(plain(str(name)), number if isinstance(number, int) else 0)
    return found


def orders_of_days(cells: list[str]) -> set[str]:
    """
    Which of day and month comes first in a list, as far as its days tell.

    >>> orders_of_days(["3/4/2026", "31/3/2026"]), orders_of_days(["3/4/2026"]), orders_of_days(["3.4.2026"])
    ({'dmy'}, set(), {'dmy'})
    """
    told = set()
    for text in cells:
        match = IN_FIGURES.fullmatch(text)
        if match and len(match[1]) < 3:
            first, second = int(match[1]), int(match[2])
            if "." in text or first > 12 >= second:
                told.add(DAY_FIRST)
            elif second > 12 >= first:
                told.add(MONTH_FIRST)
    return told


def bath_use(text: str, dimension: str) -> str:
    """
    >>> bath_use("Blue crystals", "mass"), bath_use("", "count")
    (Material.BathUse.BLUE_CRYSTALS, Material.BathUse.NONE)
    """
    use = BATH_USES.get(text.casefold())
    if use is None:
        told = _("“%(typed)s” is nothing in a bath; write blue crystals, pale powder, water or nothing.")
        raise CellNotUnderstood(told % {"typed": text})
    if MEASURED_BY.get(use, dimension) != dimension:
        told = _("What is %(use)s in a bath is measured by %(asked)s, not by %(measured)s.")
        raise CellNotUnderstood(told % {"use": text, "asked": MEASURED_BY[use], "measured": dimension})
    return use


@locale.override(Locale())
def purity(text: str) -> float:
    """
    A share, written as one or in percent.

    >>> purity("98 %"), purity("0.98"), purity(">= 99,5%"), purity("")
    (0.98, 0.98, 0.995, 1.0)
    """
    if not text:
        return 1.0
    try:
        number = float(units.parse_number(text.strip("<>=≥≤~ ").removesuffix("%").strip()))
    except units.NotUnderstood:
        raise CellNotUnderstood(
            _("“%(typed)s” under purity is no number; write it like 98 %%.") % {"typed": text}
        ) from None
    # 98 and 0.98 mean the same on a pack; 1 is the whole, not one percent
    share = number / 100 if text.endswith("%") or number > 1 else number
    if not 0 < share <= 1:
        raise CellNotUnderstood(_("A purity of %(typed)s is outside 0 to 100 %%.") % {"typed": text})
    return share


def cents(text: str, currency: str) -> int | None:
    """
    A price in hundredths of the studio's currency.

    >>> [cents(text, "EUR") for text in ("34,95 €", "EUR 1.234,50", "1 250,00", "12.5", "7", "12,-")]
    [3495, 123450, 125000, 1250, 700, 1200]
    """
    if not text:
        return None
    try:
        figures = re.sub(r"[\s'’]", "", money.figures(text, currency))
    except units.NotUnderstood as error:
        raise CellNotUnderstood(str(translated(error))) from None
    if not FIGURES.fullmatch(figures):
        raise CellNotUnderstood(locale.in_prose(_("“%(typed)s” is no price; write it like 12.50.")) % {"typed": text})
    marks = re.findall(r"[.,]", figures)
    # a price goes to cents: three figures behind a mark are thousands
    whole, _mark, part = re.sub(r"[.,](?=\d{3}(?:\D|$))", "", figures).replace(",", ".").partition(".")
    if len(part) > 2 or "." in part or len(marks) > 4 or int(whole or 0) * 100 > MOST_CENTS:
        raise CellNotUnderstood(locale.in_prose(_("“%(typed)s” is no price; write it like 12.50.")) % {"typed": text})
    return int(whole or 0) * 100 + int(part.ljust(2, "0") or 0)
