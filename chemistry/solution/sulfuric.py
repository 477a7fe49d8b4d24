"""
Sulfuric acid in a copper sulfate bath: what it adds to the density, what it takes from the solubility, what pH tells.

Acid is counted as pure H2SO4; the water that a stock acid brings is free water. An acid bath counts its copper sulfate
as blue crystals like any other.
"""

from bisect import bisect_right
from collections.abc import Mapping
from functools import lru_cache
from math import exp, log10

from chemistry.quantity import quantity
from chemistry.ranges import OutOfRange
from chemistry.sentences import Sentence
from chemistry.solution import sulfate
from chemistry.working import formula

ACID_G_PER_MOL = 98.079  # CRC Handbook of Chemistry and Physics, 102nd ed., 2021

# Laliberté, J. Chem. Eng. Data 54 (2009) 1725, H2SO4, as a library of chemical engineering has them; -11 to 75 °C
C0, C1, C2, C3, C4 = (
    70.8395152347122,
    142.352693909248,
    0.68779459618793,
    0.00649299683206703,
    1667.23864629522,
)

# CRC Handbook, 102nd ed., 2021, "Concentrative Properties of Aqueous Solutions": mass percent, g/mL at 20 °C
STOCK_G_PER_ML = (
    *((0.0, 0.9982), (5.0, 1.0318), (10.0, 1.0661), (15.0, 1.1020), (20.0, 1.1398), (24.0, 1.1714), (30.0, 1.2191)),
    *((36.0, 1.2685), (40.0, 1.3028), (50.0, 1.3952), (60.0, 1.4987), (70.0, 1.6105), (76.0, 1.6810), (80.0, 1.7272)),
    *((84.0, 1.7693), (88.0, 1.8022), (92.0, 1.8240), (94.0, 1.8312), (96.0, 1.8355), (98.0, 1.8361), (100.0, 1.8305)),
)

LEAST_SOLUBLE_SHARE = 0.05  # past what the fit knows nobody etches; a bath keeps something dissolved
ACID_PER_PH_ONE = 25.0  # g/L at pH 1; own estimate: most of the acid is there as hydrogen sulfate
PH_FACTOR = 2.5  # either way
PH_SD_SHARE = 0.5  # of the acid so told; activity and glass together are good to a factor of two and a half
NEUTRAL_PH = 7.0
LEAST_PH_SD_G_PER_L = 0.1
MOST_ACID_G_PER_L = 300.0

ACID_SD_SHARE = 0.05  # of what the acid adds to the density: its slope in a refinery's equation, from memory


def caution(acid_g_per_l: float) -> str | None:
    """
    Say what to print beside a figure of a bath that holds acid [g/L].
    Source: own comparison of the parts with CRC Handbook, 2021, and Novotný and Söhnel, 1988; none of the mixture.

    >>> caution(0)
    >>> caution(50)
    'With 50 g/L of acid the density is worked out from its parts, not checked against tables of the mixture.'
    """
    if acid_g_per_l <= 0:
        return None
    return Sentence(
        "With %(acid)s of acid the density is worked out from its parts, not checked against tables of the mixture."
    ) % {"acid": quantity(acid_g_per_l, "g/L", 2)}


def specific_volume(copper: float, acid: float, temperature_c: float) -> tuple[float, float, float]:
    """
    Return the volume of a gram of bath with acid in it, and its slopes by the mass fractions. [mL/g]

    1/ρ = (1 - W) / ρ_water + w v(W) + a u(W), W = w + a; v as in `sulfate`, u = (W + d2 + d3 t) / ((d0 W + d1)
    exp((t + d4)² / 10⁶))

    Each solute has the apparent volume that it has alone in a solution as strong as both together. Past the strongest
    solution behind the fit that volume stays what it is.

    copper, acid: w, anhydrous CuSO4, and a, H2SO4, in the bath by mass. [-]

    Spread: 1.4 kg/m3 over 1600 mixtures of other salts; 5 % of what the acid adds, own estimate.
    Source: Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141; Laliberté, J. Chem. Eng. Data 54 (2009) 1725.

    >>> [round(1 / specific_volume(copper, acid, 20)[0], 4) for copper, acid in ((0.1, 0), (0, 0.1), (0.1, 0.04))]
    [1.1075, 1.0669, 1.1382]
    """
    water_ml, copper_scale, copper_shift, acid_scale, acid_shift = _at(temperature_c)
    both = copper + acid
    counted = min(both, sulfate.HIGHEST_MASS_FRACTION)
    copper_divisor = (sulfate.C0 * counted + sulfate.C1) * copper_scale
    acid_divisor = (C0 * counted + C1) * acid_scale
    copper_ml = (counted + copper_shift) / copper_divisor
    acid_ml = (counted + acid_shift) / acid_divisor
    common = 0.0
    if counted == both:
        copper_slope = (1.0 - copper_ml * sulfate.C0 * copper_scale) / copper_divisor
        acid_slope = (1.0 - acid_ml * C0 * acid_scale) / acid_divisor
        common = copper * copper_slope + acid * acid_slope
    volume = (1.0 - both) * water_ml + copper * copper_ml + acid * acid_ml
    return volume, copper_ml - water_ml + common, acid_ml - water_ml + common


# most of a log is at one temperature
@lru_cache(maxsize=256)
def _at(temperature_c: float) -> tuple[float, float, float, float, float]:
    acid_scale, acid_shift = exp(1e-6 * (temperature_c + C4) ** 2) / 1000, C2 + C3 * temperature_c
    return (*sulfate.at_temperature(temperature_c), acid_scale, acid_shift)


def caution_of_input(value: float, inputs: Mapping[str, float]) -> str | None:
    """
    Say the caution of a density worked out from mass fractions [-].
    Source: as of `caution`.

    >>> caution_of_input(1.1, {"acid": 0.0})
    """
    return caution(1000 * value * inputs["acid"])


@formula(
    "1/ρ = (1 - W) / ρ_water + w v(W) + a u(W), W = w + a; v as of copper sulfate alone, u = 1000 (W + 0.687794596 + "
    "0.00649299683 t) / ((70.8395152 W + 142.352694) exp((t + 1667.23865)² / 10⁶)), both in a solution of W",
    unit="g/mL",
    inputs={
        "copper": ("w, anhydrous CuSO4 in the bath.", "-"),
        "acid": ("a, H2SO4 in the bath.", "-"),
        "temperature_c": ("t, temperature of the bath.", "°C"),
    },
    spread="±0.003 g/mL, and 10 % of what the acid adds.",
    source=sulfate.DENSITY_SOURCES,
    caution=caution_of_input,
)
def density_g_per_ml(copper: float, acid: float, temperature_c: float) -> float:
    """
    Return the density of copper sulfate and sulfuric acid in water. [g/mL]

    >>> round(density_g_per_ml(0.0, 0.20, 20), 3)
    1.14
    """
    return 1.0 / specific_volume(copper, acid, temperature_c)[0]


@formula(
    "straight lines through the table",
    unit="g/mL",
    inputs={"percent": ("H2SO4 by mass.", "%")},
    spread="±0.001 g/mL.",
    source='CRC Handbook of Chemistry and Physics, 102nd ed., 2021, "Concentrative Properties of Aqueous Solutions".',
)
def stock_density_g_per_ml(percent: float) -> float:
    """
    Return the density at 20 °C of sulfuric acid as it is sold. [g/mL]

    >>> stock_density_g_per_ml(96), round(stock_density_g_per_ml(37), 3)
    (1.8355, 1.277)
    """
    if not 0.0 <= percent <= 100.0:
        raise OutOfRange("sulfuric acid", percent, 0.0, 100.0, "%")
    above = min(bisect_right(STOCK_G_PER_ML, (percent, 9.9)), len(STOCK_G_PER_ML) - 1)
    (low, low_density), (high, high_density) = STOCK_G_PER_ML[above - 1 : above + 1]
    return low_density + (high_density - low_density) * (percent - low) / (high - low)


@formula(
    "share = exp(-(1.488 r + 2.796 r²))",
    unit="-",
    inputs={"acid_per_water": ("r, grams of H2SO4 to a gram of free water, to 0.4.", "g/g")},
    spread="±10 %.",
    source="own fit to two points of Foote, J. Am. Chem. Soc. 37 (1915) 288, at 25 °C, from memory.",
)
def soluble_share(acid_per_water: float) -> float:
    """
    Return how much of the blue crystals that free water alone would hold it holds beside acid. [-]

    Sulfate of the acid drives out sulfate of the salt.

    >>> [round(soluble_share(acid_per_water), 2) for acid_per_water in (0, 0.05, 0.16)]
    [1.0, 0.92, 0.73]
    """
    return max(LEAST_SOLUBLE_SHARE, exp(-(1.488 + 2.796 * acid_per_water) * acid_per_water))


@formula(
    "pH = 1 - log10(2.5 × acid / 25)",
    unit="-",
    inputs={"acid_g_per_l": ("acid, free H2SO4 in a litre.", "g/L")},
    spread="at the low end of a factor of two and a half.",
    source="own estimate, as of the acid behind a pH.",
)
def lowest_ph(acid_g_per_l: float) -> float:
    """
    Return the lowest pH that so much acid may make in a bath. [-]

    >>> [round(lowest_ph(acid_g_per_l), 1) for acid_g_per_l in (0.1, 1, 50)]
    [3.0, 2.0, 0.3]
    """
    return max(0.0, 1 - log10(PH_FACTOR * acid_g_per_l / ACID_PER_PH_ONE))


@formula(
    "pH = 1 - log10(acid / 25 / 2.5)",
    unit="-",
    inputs={"acid_g_per_l": ("acid, free H2SO4 in a litre, more than none.", "g/L")},
    spread="at the high end of a factor of two and a half.",
    source="own estimate, as of the acid behind a pH.",
)
def highest_ph(acid_g_per_l: float) -> float:
    """
    Return the highest pH that a bath with so much acid may have; none is alkaline. [-]

    >>> [round(highest_ph(acid_g_per_l), 1) for acid_g_per_l in (0.1, 5, 70)]
    [3.8, 2.1, 1.0]
    """
    return min(max(0.0, 1 - log10(acid_g_per_l / PH_FACTOR / ACID_PER_PH_ONE)), NEUTRAL_PH)


def acid_within(highest_ph: float, lowest_ph: float) -> tuple[float, float]:
    """
    Return the least and the most free acid that a bath between two pH may hold. [g/L]

    Source: as of `acid_from_ph`, at either end of its factor.

    >>> [round(end, 3) for end in acid_within(2, 1)]
    [1.0, 62.5]
    """
    least, most = acid_from_ph(highest_ph) / PH_FACTOR, acid_from_ph(lowest_ph) * PH_FACTOR
    return min(least, MOST_ACID_G_PER_L), min(most, MOST_ACID_G_PER_L)


@formula(
    "acid = 250 × 10^(-pH)",
    unit="g/L",
    inputs={"ph": ("pH, as the strip or the meter shows it.", "-")},
    spread="a factor of two and a half either way.",
    source="own estimate; dissociation constant of hydrogen sulfate, CRC Handbook, from memory.",
)
def acid_from_ph(ph: float) -> float:
    """
    Return about how much free sulfuric acid a bath of that pH holds. [g/L]

    >>> [round(acid_from_ph(ph), 2) for ph in (1, 2, 4.5)]
    [25.0, 2.5, 0.01]
    """
    if not 0.0 <= ph <= 14.0:
        raise OutOfRange("pH", ph, 0.0, 14.0)
    return float(ACID_PER_PH_ONE * 10 ** (1 - ph))
