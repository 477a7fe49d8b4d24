"""Between the ledger's integers, the floats of the sums and what a studio reads: converted here, once."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from chemistry.locale import Locale
from chemistry.measured import HALF_WIDTH_SDS, Measured, decimals_for, digits, plain
from chemistry.ranges import OutOfRange
from chemistry.solution import sulfate
from chemistry.working import Figure, Working
from inventory.wording import translated_text

MG_PER_G = 1_000
UL_PER_L = 1_000_000
SIXTY_F_IN_C = 15.56
UM_PER_MIL = 25.4
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


def fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) * 5 / 9


@dataclass(frozen=True)
class Shown:
    """A number as it is read: the digits its spread deserves, half its 95 % interval, its unit."""

    value: str
    unit: str
    half_width: str = ""

    def __str__(self) -> str:
        return f"{self.without_unit}{NO_BREAK}{translated_text(self.unit)}".rstrip()

    @property
    def without_unit(self) -> str:
        # no line may end inside a figure: "4" is no strength, and "± 6" belongs to nothing
        return f"{self.value}{NO_BREAK}±{NO_BREAK}{self.half_width}" if self.half_width else self.value


def with_spread(value: float, sd: float | None, unit: str) -> Shown:
    """
    A figure with half its 95 % interval, no digit finer than the spread deserves; three where none is known.

    >>> str(with_spread(251.34, 3.1, "g/L")).replace(NO_BREAK, " ")
    '251 ± 6 g/L'
    >>> str(with_spread(58312.4, 520, "mg/L")).replace(NO_BREAK, " ")
    '58300 ± 1000 mg/L'
    >>> with_spread(2.6234, 0.0, "L").value
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


def baume(strength_g_per_l: float) -> float:
    """
    What a US Baumé hydrometer shows in a bath of this strength, both at 60 °F; at most the strongest there can be.

    >>> round(baume(182.3), 1)
    15.0
    """
    strongest = sulfate.strength_g_per_l(sulfate.HIGHEST_MASS_FRACTION, 20)
    mass_fraction = sulfate.mass_fraction_from_strength(min(max(strength_g_per_l, 0.0), strongest), 20)
    return sulfate.baume_from_sg(sulfate.sg(mass_fraction, SIXTY_F_IN_C, SIXTY_F_IN_C))


def strength_from_baume(degrees: float) -> float:
    """
    Strength of the bath in which a US Baumé hydrometer shows this, both at 60 °F. [g/L]

    >>> round(baume(strength_from_baume(15.0)), 6)
    15.0
    """
    mass_fraction = sulfate.mass_fraction_from_sg(sulfate.sg_from_baume(degrees), SIXTY_F_IN_C, SIXTY_F_IN_C)
    return sulfate.strength_g_per_l(mass_fraction, 20)


@dataclass(frozen=True)
class Units(Locale):
    """How this studio reads its figures. Built from the workshop's settings."""

    def strength(self, g_per_l: float, sd: float | None = None) -> Shown:
        shown = self.strength_number(g_per_l)
        if sd is None:
            return Shown(f"{shown:.{self.strength_decimals}f}", self.strength_unit)
        return with_spread(shown, sd * self.strength_slope(g_per_l), self.strength_unit)

    @property
    def strength_decimals(self) -> int:
        return 0 if self.strength_unit == "g/L" else 1

    def strength_number(self, g_per_l: float) -> float:
        """A strength in g/L, in the studio's unit."""
        return g_per_l if self.strength_unit == "g/L" else baume(g_per_l)

    def strength_slope(self, g_per_l: float) -> float:
        """How much a gram more in each litre is in the studio's unit."""
        return self.strength_number(g_per_l + 0.5) - self.strength_number(g_per_l - 0.5)

    def g_per_l(self, strength: float) -> float:
        """A strength as it was typed, in g/L."""
        return strength if self.strength_unit == "g/L" else strength_from_baume(strength)

    def temperature(self, degrees_c: float, sd: float | None = None) -> Shown:
        if sd is None:
            # the z, or a night just below nought would read as -0
            return Shown(f"{self.degrees(degrees_c):z.0f}", self.temperature_unit)
        # a spread has no zero point: only the size of the degrees counts
        return with_spread(self.degrees(degrees_c), sd * (self.degrees(1) - self.degrees(0)), self.temperature_unit)

    def depth(self, um: float, sd: float | None = None) -> Shown:
        per_um = 1.0 if self.depth_unit == "µm" else 1 / UM_PER_MIL
        if sd is None:
            return Shown(f"{um * per_um:.{0 if self.depth_unit == 'µm' else 1}f}", self.depth_unit)
        return with_spread(um * per_um, sd * per_um, self.depth_unit)

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
        return Shown(digits(value), unit)


@dataclass(frozen=True)
class DisplayedFigure:
    """A figure as the studio reads it, and its working, which is in the unit of the sum."""

    name: str
    shown: Shown
    figure: Figure

    @classmethod
    def plain(cls, name: str, figure: Figure) -> "DisplayedFigure":
        """A figure that every studio reads in the unit of its sum."""
        return cls(name, with_spread(figure.value, figure.sd, figure.unit), figure)

    @property
    def summary(self) -> str:
        """The name and the figure; once more in the unit of the sum where the studio reads another."""
        also = f" ({self.of_the_sum})" if self.of_the_sum else ""
        return f"{self.name}: {self.shown}{also}"

    @property
    def of_the_sum(self) -> Shown | None:
        """The figure in the unit of the sum, where the studio reads another."""
        figure = with_spread(self.figure.value, self.figure.sd, self.figure.unit)
        return None if figure.unit == self.shown.unit else figure

    @property
    def working(self) -> Working:
        return self.figure.working
