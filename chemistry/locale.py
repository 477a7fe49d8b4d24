"""How a studio writes figures down: whatever is shown, and whatever is typed, goes by the locale in force."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, lru_cache

NARROW_NO_BREAK = "\u202f"
FOUR_DIGITS = re.compile(r"-?\d,\d{3}(?:\.\d+)?")


@dataclass(frozen=True)
class Locale:
    """
    What holds where nobody has said anything: numbers that a machine reads, and the units of the sums.

    numbers: how twelve thousand three hundred and forty-five and six tenths are written. cups: which cup is meant by
    the word. imperial: whether a pint is one of Great Britain. dates: what comes first, the day or the month.

    Source: marks, groups of three, and no space within four digits: SI Brochure, 9th edition, 5.4.4; a comma or a point
    between thousands: common practice, no source.
    """

    numbers: str = "12345.6"
    volume: str = "L"
    mass: str = "g"
    length: str = "cm"
    area: str = "cm²"
    thickness: str = "mm"
    strength_unit: str = "g/L"
    temperature_unit: str = "°C"
    depth_unit: str = "µm"
    cups: str = "metric"
    imperial: bool = False
    currency: str = "EUR"
    money: str = "before"
    dates: str = "day"
    clock: str = "24"

    @property
    def thousands(self) -> str:
        return self.numbers[2:-5].replace(" ", NARROW_NO_BREAK)

    @property
    def decimal(self) -> str:
        return self.numbers[-2]


_in_force: ContextVar[Locale] = ContextVar("locale", default=Locale())  # noqa: B039  # frozen
current = _in_force.get


@contextmanager
def override(locale: Locale) -> Iterator[None]:
    """
    Write and read figures in another way for a while.

    >>> with override(Locale("12.345,6")):
    ...     marked("58,300.25")
    '58.300,25'
    """
    token = _in_force.set(locale)
    try:
        yield
    finally:
        _in_force.reset(token)


def marked(number: str) -> str:
    """
    Write a number that has a comma between its thousands and a point before its decimals as is usual here.

    >>> marked("58,300.25")
    '58300.25'
    """
    here = _in_force.get()
    if here.thousands == NARROW_NO_BREAK and FOUR_DIGITS.fullmatch(number):
        number = number.replace(",", "")
    return number.translate(_marks(here))


# a number of a law, a standard or a table stands as it is cited, and with it those that follow
_CITED = (
    r"(?:\b(?:CFR|USC|GHS|CLP|SI|RID|ADR|UN|App\.|[Ss]ections?|[Tt]ables?|[Aa]nnex(?: [IVX]+)?|[Aa]rticles?|[Rr]egs?\.|"
    r"[Rr]egulations?|[Pp]arts?|[Pp]aragraphs?|[Rr]ules?|[Cc]lauses?|[Ee]dition,|code|ch?\.|s\.)|§§?) ?"
    r"[A-Z]?\d[\w.()-]*(?:(?:[,;]| and| or| to) \d[\w.()-]*)*"
)
_IN_PROSE = re.compile(
    rf"{_CITED}|(?<![\w.,/-])(?P<number>\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?|\d+\.\d+)(?![\w.,(]\w|-\d|\.\d)"
)
_AS_IN_PROSE = ("12345.6", "12,345.6")


def in_prose(text: str) -> str:
    """
    A sentence of the house with the numbers that stand in it written as is usual here; what is cited stays.

    >>> with override(Locale("12.345,6")):
    ...     in_prose("From 0.25 % on, 1,000 kg at most (about 2.5 g/L), says 40 CFR 262.14(a)(5), 270.1.")
    'From 0,25 % on, 1.000 kg at most (about 2,5 g/L), says 40 CFR 262.14(a)(5), 270.1.'
    """
    here = _in_force.get()
    return text if here.numbers in _AS_IN_PROSE else _in_prose(text, here)


@lru_cache(maxsize=20_000)
def _in_prose(text: str, here: Locale) -> str:
    with override(here):
        return _IN_PROSE.sub(lambda found: marked(found["number"]) if found["number"] else found[0], text)


@cache
def _marks(locale: Locale) -> Mapping[int, str]:
    return {ord(","): locale.thousands, ord("."): locale.decimal}
