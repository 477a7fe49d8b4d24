"""Between the ledger's integers, the floats of the sums and what a studio reads: converted here, once."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from chemistry.locale import Locale
from chemistry.measured import HALF_WIDTH_SDS, Measured, decimals_for, digits, plain
from chemistry.quantity import UM_PER_MIL, fahrenheit, read_in
from chemistry.ranges import OutOfRange
from chemistry.solution import strengths
from chemistry.working import Figure, Working
from inventory.wording import unit_after

MG_PER_G = 1_000
UL_PER_L = 1_000_000
NO_BREAK = "\u00a0"
UNITS = {
    "mol_per_l": "mol/L",
    "_l": "L",
    "litres": "L",
    "_g": "g",
    "grams": "g",
    "_ah": "A·h",
    "sg": "SG",
    "gravity": "SG",
}


def mass_mg(grams: float) -> int:
    return round(grams * MG_PER_G)


def grams(mass_mg: int) -> float:
    return mass_mg / MG_PER_G


def volume_ul(litres: float) -> int:
    return round(litres * UL_PER_L)


def litres(volume_ul: int) -> float:
    return volume_ul / UL_PER_L


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) * 5 / 9


@dataclass(frozen=True)
class Shown:
    """A number as it is read: the digits its spread deserves, half its 95 % interval, its unit."""

    value: str
    unit: str
    half_width: str = ""

    def __str__(self) -> str:
        return f"{self.without_unit}{NO_BREAK}{self.unit_said}".rstrip()

    @property
    def unit_said(self) -> str:
        return unit_after(self.unit, self.without_unit)

    @property
    def without_unit(self) -> str:
        # no line may end inside a figure: "4" is no strength, and "± 6" belongs to nothing
        return f"{self.value}{NO_BREAK}±{NO_BREAK}{self.half_width}" if self.half_width else self.value


def with_spread(value: float, sd: float | None, unit: str) -> Shown:
    """A figure of the sums as the studio reads it."""
    name, size = read_in(unit, max(abs(value), HALF_WIDTH_SDS * (sd or 0.0)))
    return in_its_own_unit(value / size, (sd or 0.0) / size, name)


def in_its_own_unit(value: float, sd: float | None, unit: str) -> Shown:
    """
    A figure with half its 95 % interval, no digit finer than the spread deserves; three where none is known.

    >>> str(in_its_own_unit(251.34, 3.1, "g/L")).replace(NO_BREAK, " ")
    '251 ± 6 g/L'
    >>> str(in_its_own_unit(58312.4, 520, "mg/L")).replace(NO_BREAK, " ")
    '58300 ± 1000 mg/L'
    >>> in_its_own_unit(2.6234, 0.0, "L").value
    '2.62'
    """
    half_width = HALF_WIDTH_SDS * (sd or 0.0)
    if not half_width:
        return Shown(digits(value, 3), unit)
    # a finer digit would claim what nobody measured
    decimals = decimals_for(half_width)
    return Shown(plain(value, decimals), unit, plain(half_width, decimals))


def displayed(measured: Measured, unit: str | None = None) -> Shown:
    """What was measured, as it is read; unit: where pages name it otherwise."""
    return with_spread(measured.value, measured.sd, measured.unit if unit is None else unit)


@dataclass(frozen=True)
class Units(Locale):
    """How this studio reads its figures. Built from the workshop's settings."""

    def strength(self, g_per_l: float, sd: float | None = None) -> Shown:
        shown = self.strength_number(g_per_l)
        if sd is None:
            return Shown(plain(shown, self.strength_decimals), self.strength_unit)
        return in_its_own_unit(shown, sd * self.strength_slope(g_per_l), self.strength_unit)

    @property
    def strength_decimals(self) -> int:
        return strengths.decimals(self.strength_unit)

    def strength_number(self, g_per_l: float) -> float:
        """A strength in g/L, in the studio's unit."""
        return strengths.number(g_per_l, self.strength_unit)

    def strength_slope(self, g_per_l: float) -> float:
        """How much a gram more in each litre is in the studio's unit."""
        return self.strength_number(g_per_l + 0.5) - self.strength_number(g_per_l - 0.5)

    def g_per_l(self, strength: float) -> float:
        """A strength as it was typed, in g/L."""
        return strengths.g_per_l(strength, self.strength_unit)

    def temperature(self, degrees_c: float, sd: float | None = None) -> Shown:
        if sd is None:
            return Shown(plain(self.degrees(degrees_c), 0), self.temperature_unit)
        # a spread has no zero point: only the size of the degrees counts
        return in_its_own_unit(self.degrees(degrees_c), sd * (self.degrees(1) - self.degrees(0)), self.temperature_unit)

    def depth(self, um: float, sd: float | None = None) -> Shown:
        per_um = 1.0 if self.depth_unit == "µm" else 1 / UM_PER_MIL
        if sd is None:
            return Shown(plain(um * per_um, 0 if self.depth_unit == "µm" else 1), self.depth_unit)
        return in_its_own_unit(um * per_um, sd * per_um, self.depth_unit)

    def um(self, depth: float) -> float:
        """A depth as it was typed, in µm."""
        return depth if self.depth_unit == "µm" else depth * UM_PER_MIL

    def degrees(self, degrees_c: float) -> float:
        """A temperature in °C, in the studio's degrees."""
        return degrees_c if self.temperature_unit == "°C" else fahrenheit(degrees_c)

    def degrees_c(self, degrees: float) -> float:
        """A temperature as it was typed, in °C."""
        return degrees if self.temperature_unit == "°C" else celsius(degrees)

    def outside(self, error: OutOfRange) -> str:
        """What to say of a figure that a sum cannot take."""
        low, high, value = (
            str(self._measured(error, figure)).rstrip() for figure in (error.low, error.high, error.value)
        )
        return _("%(value)s is outside %(low)s to %(high)s; look again at the number and its unit.") % {
            "value": value,
            "low": low,
            "high": high,
        }

    def _measured(self, error: OutOfRange, value: float) -> Shown:
        """A figure in the unit that its name tells; a spread as the ± that was typed for it."""
        if "sd" in error.name.split("_"):
            value = HALF_WIDTH_SDS * value
        if error.name.endswith(("g_per_l", "strength")):
            return self.strength(value)
        if error.name.endswith(("_c", "temperature")):
            return self.temperature(value)
        unit = error.unit or next((unit for ending, unit in UNITS.items() if error.name.endswith(ending)), "")
        name, size = read_in(unit, value)
        return Shown(digits(value / size), name)


@dataclass(frozen=True)
class DisplayedFigure:
    """A figure as the studio reads it, and its working, which is in the unit of the sum."""

    name: str
    shown: Shown
    figure: Figure

    @classmethod
    def plain(cls, name: str, figure: Figure) -> "DisplayedFigure":
        """A figure that every studio reads in the unit of its sum, or in what it reads that unit in."""
        return cls(name, with_spread(figure.value, figure.sd, figure.unit), figure)

    @property
    def summary(self) -> str:
        """The name and the figure; a strength by the hydrometer once more by volume."""
        also = f" ({self.of_the_sum})" if self.of_the_sum else ""
        return f"{self.name}: {self.shown}{also}"

    @property
    def of_the_sum(self) -> Shown | None:
        """The figure beside it in what the unit of the sum is read in, where that is another one."""
        figure = with_spread(self.figure.value, self.figure.sd, self.figure.unit)
        return None if figure.unit == self.shown.unit else figure

    @property
    def working(self) -> Working:
        return self.figure.working
