"""Between the ledger's integers, the floats of the sums and what a studio reads: converted here, once."""

from dataclasses import dataclass

from chemistry import sulfate
from chemistry.working import HALF_WIDTH_SDS

MG_PER_G = 1_000
UL_PER_L = 1_000_000
SIXTY_F_IN_C = 15.56


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
        spread = f" ± {self.half_width}" if self.half_width else ""
        return f"{self.value}{spread} {self.unit}"


def with_spread(value: float, sd: float, unit: str) -> Shown:
    """
    A figure with half its 95 % interval, no digit finer than the spread deserves.

    >>> str(with_spread(251.34, 3.1, "g/L"))
    '251 ± 6 g/L'
    >>> str(with_spread(2.6234, 0.021, "L"))
    '2.62 ± 0.04 L'
    """
    half_width = HALF_WIDTH_SDS * sd
    places = decimals_for(half_width)
    return Shown(f"{value:.{places}f}", unit, f"{half_width:.{places}f}")


def decimals_for(half_width: float) -> int:
    """
    Decimals that a spread deserves: down to its own first digit, at most three.

    >>> [decimals_for(half_width) for half_width in (14, 6.1, 0.96, 0.6, 0.04, 0)]
    [0, 0, 0, 1, 2, 3]
    """
    return next((places for places in range(3) if half_width * 10**places >= 0.95), 3)


def baume(strength_g_per_l: float) -> float:
    """
    What a US Baumé hydrometer shows in a bath of this strength, both at 60 °F.

    >>> round(baume(182.3), 1)
    15.0
    """
    mass_fraction = sulfate.mass_fraction_from_strength(strength_g_per_l, 20)
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
class Units:
    """How this studio reads its figures. Built from the workshop's settings."""

    cups: str = "metric"
    strength_unit: str = "g/L"
    temperature_unit: str = "°C"

    def strength(self, g_per_l: float, sd: float | None = None) -> Shown:
        """Strength of a bath in the studio's unit."""
        if self.strength_unit == "g/L":
            return Shown(f"{g_per_l:.0f}", "g/L") if sd is None else with_spread(g_per_l, sd, "g/L")
        shown = baume(g_per_l)
        if sd is None:
            return Shown(f"{shown:.1f}", "°Bé")
        return with_spread(shown, sd * (baume(g_per_l + 1) - shown), "°Bé")

    def g_per_l(self, strength: float) -> float:
        """A strength as it was typed, in g/L."""
        return strength if self.strength_unit == "g/L" else strength_from_baume(strength)

    def temperature(self, degrees_c: float) -> Shown:
        return Shown(f"{self.degrees(degrees_c):.0f}", self.temperature_unit)

    def degrees(self, degrees_c: float) -> float:
        """A temperature in °C, in the studio's degrees."""
        return degrees_c if self.temperature_unit == "°C" else fahrenheit(degrees_c)

    def degrees_c(self, degrees: float) -> float:
        """A temperature as it was typed, in °C."""
        return degrees if self.temperature_unit == "°C" else celsius(degrees)
