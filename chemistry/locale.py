"""How a studio writes figures down: whatever is shown, and whatever is typed, goes by the locale in force."""

import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache

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


@cache
def _marks(locale: Locale) -> Mapping[int, str]:
    return {ord(","): locale.thousands, ord("."): locale.decimal}
