"""
A measured value: a number with its unit, its spread, and the errors that it shares with other numbers.

Litres and copper of one pour are wrong together, so the copper in a litre is known better than either; drips that were
guessed alike are wrong alike, so their sum is known worse than chance would have it. Every sum and product here
carries its errors along by name, to first order, and the spread comes out right however the parts were combined.
"""

from collections.abc import Iterable
from math import floor, isfinite, log10
from typing import Any

from uncertainties import UFloat, nominal_value, std_dev, ufloat
from uncertainties.core import AffineScalarFunc, LinearCombination

from chemistry.locale import marked

HALF_WIDTH_SDS = 1.96  # half of a 95 % interval of a normal spread
MOST_DECIMALS = 15
LOST_BY_FLOATS = 1e-12  # of a value, after many sums

_common_errors: dict[str, UFloat] = {}


def common_error(name: str) -> UFloat:
    """
    Return the error, in sds, that all shares which was found in one way: by one bath's log, one meter, one guess. [-]

    Source: convention: errors of one name are one error.

    >>> common_error("calliper") is common_error("calliper")
    True
    """
    # by name for the whole process: two requests that sum up the same bath must meet the same error
    return _common_errors.setdefault(name, ufloat(0.0, 1.0))


class Measured:
    """
    value, unit, and sd: one standard deviation. Two are equal if they read alike, whatever their errors share.

    >>> pour, strength = Measured(2.0, 0.1, "L"), Measured(229, 2, "g/L")
    >>> salt = pour.times(strength, "g")
    >>> salt, salt.per(pour, "g/L")
    (Measured(458, 23.2, 'g'), Measured(229, 2, 'g/L'))
    """

    __slots__ = ("_number", "unit")

    def __init__(self, value: "float | UFloat | Measured", sd: float = 0.0, unit: str = "", *, error: str = "") -> None:
        """error: the name of an error that others share; without one, it is nobody else's."""
        if isinstance(value, Measured):
            value, unit = value._number, unit or value.unit
        # an exact number stays plain: the library warns of an error of nought
        if sd and error:
            value = value + sd * common_error(error)
        elif sd:
            value = ufloat(value, sd) if isinstance(value, int | float) else value + ufloat(0.0, sd)
        self._number: Any = value
        self.unit = unit

    @property
    def value(self) -> float:
        return float(nominal_value(self._number))

    @property
    def sd(self) -> float:
        sd = float(std_dev(self._number))
        # errors that cancel each other leave what floats lose, and that is no spread
        return sd if sd > LOST_BY_FLOATS * abs(self.value) else 0.0

    @property
    def half_width(self) -> float:
        """What pages and papers print after ±: half of the 95 % interval."""
        return HALF_WIDTH_SDS * self.sd

    @property
    def low(self) -> float:
        """The low end of the 95 % interval of something that cannot fall below nought."""
        return max(self.value - self.half_width, 0.0)

    @property
    def high(self) -> float:
        return self.value + self.half_width

    def times(self, other: "Measured | float", unit: str) -> "Measured":
        return Measured(self._number * _number(other), unit=unit)

    def per(self, other: "Measured | float", unit: str) -> "Measured":
        return Measured(self._number / _number(other), unit=unit)

    def once_known(self, guess: "Measured", found: "Measured") -> "Measured":
        """
        This, once what was guessed was measured as well: it moves as far as it and the guess are wrong together.

        Source: conditional mean of a joint normal distribution.

        >>> pour = Measured(2.0, 0.2, "L")
        >>> copper, weight = pour.times(60.0, "g"), pour.times(1150.0, "g")
        >>> copper, copper.once_known(weight, Measured(2415, 10, "g"))
        (Measured(120, 12, 'g'), Measured(126, 0.521, 'g'))
        """
        apart = found - guess
        variance = _covariance(apart, apart)
        share = _covariance(self, apart) / variance if variance else 0.0
        return Measured(self._number - share * apart._number, unit=self.unit)

    def is_near(self, other: "Measured") -> bool:
        """Whether the two may be one: no further apart than three sds of their difference."""
        apart = self - other
        return abs(apart.value) <= 3 * apart.sd

    def __add__(self, other: "Measured") -> "Measured":
        self._refuse_another_unit(other)
        return Measured(self._number + other._number, unit=self.unit)

    def __sub__(self, other: "Measured") -> "Measured":
        self._refuse_another_unit(other)
        return Measured(self._number - other._number, unit=self.unit)

    def __mul__(self, factor: float) -> "Measured":
        return Measured(self._number * factor, unit=self.unit)

    def __truediv__(self, divisor: float) -> "Measured":
        return Measured(self._number / divisor, unit=self.unit)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Measured) and self._as_read == other._as_read

    def __hash__(self) -> int:
        return hash(self._as_read)

    def __repr__(self) -> str:
        return f"Measured({digits(self.value, 3)}, {digits(self.sd, 3)}, {self.unit!r})"

    @property
    def _as_read(self) -> tuple[float, float, str]:
        return self.value, self.sd, self.unit

    def _refuse_another_unit(self, other: "Measured") -> None:
        if self.unit != other.unit:
            raise ValueError(f"{self.unit} and {other.unit} do not add up")


def _number(value: "Measured | float") -> Any:
    return value._number if isinstance(value, Measured) else value


def _covariance(one: Measured, other: Measured) -> float:
    # an exact number has no errors to share
    shares = [getattr(each._number, "derivatives", {}) for each in (one, other)]
    return float(sum(slope * shares[1].get(error, 0.0) * error.std_dev**2 for error, slope in shares[0].items()))


def total(parts: Iterable[Measured], unit: str) -> Measured:
    """
    Return the sum of several values, errors that they share counted once. [unit]

    Source: first-order propagation of errors.

    >>> total([Measured(4, 1, "g", error="drips"), Measured(4, 1, "g", error="drips")], "g")
    Measured(8, 2, 'g')
    >>> total([], "g")
    Measured(0, 0, 'g')
    """
    whole, value, errors = Measured(0.0, unit=unit), 0.0, []
    for part in parts:
        whole._refuse_another_unit(part)
        value += part.value
        if isinstance(part._number, AffineScalarFunc):
            errors.append((1.0, part._number._linear_part))
    # one sum of all errors: one more for each part, each around those before it, takes a hundred times as long
    return Measured(AffineScalarFunc(value, LinearCombination(errors)) if errors else value, unit=unit)


def by_scale(mass_g: float, half_width_g: float) -> Measured:
    """
    Return what a scale showed, and what it is good to. [g]

    Source: definition of the half width.

    >>> by_scale(281.5, 1.0)
    Measured(282, 0.51, 'g')
    """
    return Measured(mass_g, half_width_g / HALF_WIDTH_SDS, "g")


def kept(value: float | None, sd: float | None, unit: str) -> Measured | None:
    """
    Return a value as it was written down with its sd; None where nobody knew it. [unit]

    >>> kept(4, 1, "g"), kept(None, None, "g")
    (Measured(4, 1, 'g'), None)
    """
    return None if value is None else Measured(value, sd or 0.0, unit)


def within(low: float, high: float, unit: str) -> Measured:
    """
    Return the middle of a 95 % range. [unit]

    Source: definition of a 95 % range of a normal spread.

    >>> within(90, 110, "g")
    Measured(100, 5.1, 'g')
    """
    return Measured((low + high) / 2, (high - low) / 2 / HALF_WIDTH_SDS, unit)


def decimals_for(half_width: float) -> int:
    """
    Return the decimals that a spread earns: down to its own first digit, from 10 on down to its second. [-]

    Below nought, that many digits before the point are noughts.

    Source: convention of this house, no source.

    >>> [decimals_for(half_width) for half_width in (1520, 140, 14, 6.1, 0.96, 0.6, 0.04, 0.0000004)]
    [-2, -1, 0, 0, 0, 1, 2, 7]
    """
    if half_width <= 0:
        return 0
    # 9.6 reads as 10, so it has two digits before the point already
    if half_width >= 9.5:
        return 1 - floor(log10(max(half_width, 10.0)))
    # 0.96 reads as 1, so its first digit stands before the point
    return min(-floor(log10(half_width / 0.95)), MOST_DECIMALS)


def plain(value: float, decimals: int) -> str:
    """
    Write a number out to so many decimals, or rounded before the point; never with an exponent.

    Source: convention of this house, no source.

    >>> plain(58312.4, -2), plain(0.00004, 6), plain(-0.2, 0), plain(2, 1)
    ('58300', '0.000040', '0', '2.0')
    """
    return marked(written_out(value, decimals))


def digits(value: float, most: int = 6) -> str:
    """
    Write a number out to so many digits that count, without noughts at its end; never with an exponent.

    Source: convention of this house, no source.

    >>> digits(119.93, 2), digits(0.00148, 2), digits(123456, 5), digits(-2.5, 5)
    ('120', '0.0015', '123460', '-2.5')
    >>> digits(0.00004, 2), digits(0.0, 3)
    ('0.00004', '0')
    """
    if not value or not isfinite(value):
        return f"{value:z.0f}"
    # places are counted from the first digit that is not nought
    decimals = most - 1 - floor(log10(abs(value)))
    shown = written_out(value, decimals)
    return marked(shown.rstrip("0").rstrip(".") if "." in shown else shown)


def rounded(value: float, most: int) -> float:
    """
    Round a number to so many digits that count. [-]

    Source: convention of this house, no source.

    >>> rounded(0.0847, 2), rounded(1234.5, 2), rounded(0.0, 2)
    (0.085, 1200.0, 0.0)
    """
    return round(value, most - 1 - floor(log10(abs(value)))) if value else 0.0


def written_out(value: float, decimals: int) -> str:
    """
    Write a number out with commas between its thousands, before the locale in force has its say.

    Source: convention of this house, no source.

    >>> written_out(58312.4, -2)
    '58,300'
    """
    return f"{round(float(value), decimals):z,.{max(decimals, 0)}f}"  # a limit may be kept as a fraction
