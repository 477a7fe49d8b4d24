"""
Copper sulfate in water: density, strength, saturation, freezing, conductivity, hydrometer scales.

Mass fraction is the share of anhydrous CuSO4 in the solution by mass. Strength is grams of blue crystals
(CuSO4·5H2O) per litre of finished bath, never per litre of water: 250 g stirred into 1 L of water make 1.09 L of bath
at 229 g/L. All figures are for a pure bath; acid, salt or chloride carried in reads as copper sulfate.

Every function refuses what lies outside its range. Inside that range but outside the published tables the density
has been compared with, `caution` has a sentence to print beside the figure.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from math import exp, log, sqrt

from chemistry.measured import digits
from chemistry.quantity import quantity, span
from chemistry.ranges import OutOfRange
from chemistry.sentences import Sentence
from chemistry.working import formula

COPPER_G_PER_MOL = 63.546  # IUPAC standard atomic weights, 2021
ANHYDROUS_G_PER_MOL = 159.609  # CuSO4; CRC Handbook of Chemistry and Physics, 102nd ed., 2021
BLUE_CRYSTALS_G_PER_MOL = 249.686  # CuSO4·5H2O; sum of the above
BLUE_CRYSTALS_G_PER_ML = 2.286  # CRC Handbook of Chemistry and Physics, from memory

BLUE_PER_ANHYDROUS = BLUE_CRYSTALS_G_PER_MOL / ANHYDROUS_G_PER_MOL
ANHYDROUS_PER_BLUE = ANHYDROUS_G_PER_MOL / BLUE_CRYSTALS_G_PER_MOL
COPPER_PER_BLUE = COPPER_G_PER_MOL / BLUE_CRYSTALS_G_PER_MOL

BLUE_WATERS = 5.0  # of crystallisation to one CuSO4
CRYSTAL_WATER_G_PER_MOL = (BLUE_CRYSTALS_G_PER_MOL - ANHYDROUS_G_PER_MOL) / BLUE_WATERS

HIGHEST_MASS_FRACTION = 0.284  # the strongest solution behind the density fit
COLDEST_C = -1.5  # colder than this the bath is solid: the eutectic
WARMEST_C = 60.0  # the warmest solution behind the density and solubility fits

VERIFIED_MASS_FRACTION = 0.18
VERIFIED_COLDEST_C, VERIFIED_WARMEST_C = 18.0, 25.0
VERIFIED_SD_G_PER_ML = 0.001  # within that; against CRC Handbook and May 2011
FITTED_FROM_C = 10.0  # the coldest solution behind the density fit

BAUME_MODULUS = 145.0  # US scale, liquids heavier than water, 60/60 °F; NBS Circular 19, from memory
DENSEST_SG = 2.0  # where the US scale is read in practice it ends below 70 degrees

# Laliberté, J. Chem. Eng. Data 54 (2009) 1725, CuSO4; for kg/m3 and °C, 10 to 60 °C, mass fraction to 0.284
C0, C1, C2, C3, C4 = (
    -1.12078294150285e-6,
    6.06850590612117e-7,
    -0.118863232463814,
    0.00378050075860551,
    4763.96073964247,
)


def caution(mass_fraction: float, temperature_c: float) -> str | None:
    """
    Say what to print beside a density, strength or hydrometer figure that no published table here vouches for.

    None means the figure lies where the density was compared with tables: mass fraction [-] to 0.18, 18 to 25 °C.
    Source: own comparison with CRC Handbook of Chemistry and Physics and with May 2011.

    >>> caution(0.10, 20)
    >>> caution(0.10, 5)
    'Checked against published tables only from 18 to 25 °C, not at 5 °C.'
    """
    if mass_fraction > VERIFIED_MASS_FRACTION:
        share = f"{digits(100 * mass_fraction, 3)} %"
        return Sentence(
            "Checked against published tables only up to 18 %% copper sulfate by mass, not at %(share)s."
        ) % {"share": share}
    if not VERIFIED_COLDEST_C <= temperature_c <= VERIFIED_WARMEST_C:
        return Sentence("Checked against published tables only from %(checked)s, not at %(temperature)s.") % {
            "checked": span((VERIFIED_COLDEST_C, VERIFIED_WARMEST_C), "°C"),
            "temperature": quantity(temperature_c, "°C", 3),
        }
    return None


def caution_of_input(value: float, inputs: Mapping[str, float]) -> str | None:
    """
    Say the caution of a figure worked out from a mass fraction [-] and a temperature [°C].
    Source: as of `caution`.

    >>> caution_of_input(1.1, {"mass_fraction": 0.10, "temperature_c": 20})
    """
    return caution(inputs["mass_fraction"], inputs["temperature_c"])


def caution_of_result(mass_fraction: float, inputs: Mapping[str, float]) -> str | None:
    """
    Say the caution of a mass fraction [-] worked out at a temperature [°C].
    Source: as of `caution`.

    >>> caution_of_result(0.10, {"temperature_c": 20})
    """
    return caution(mass_fraction, inputs["temperature_c"])


@formula(
    "b = 249.686 / (159.609 + 18.0154 n)",
    unit="g/g",
    inputs={"waters": ("n, waters of crystallisation to one CuSO4: 0 in pale powder, 5 in blue crystals.", "-")},
    source="mass balance; molar masses of the CRC Handbook of Chemistry and Physics, 102nd ed., 2021.",
)
def blue_per_gram(waters: float) -> float:
    """
    Return the blue crystals that a gram of another hydrate becomes in a bath. [g/g]

    What is more than a gram of them is water of crystallisation, taken up from the bath.

    >>> [round(blue_per_gram(waters), 4) for waters in (0, 1, 3, 5)]
    [1.5644, 1.4057, 1.1686, 1.0]
    """
    return BLUE_CRYSTALS_G_PER_MOL / (ANHYDROUS_G_PER_MOL + waters * CRYSTAL_WATER_G_PER_MOL)


def density_sd_g_per_ml(mass_fraction: float, temperature_c: float) -> float:
    """
    Return how far the density's formula can be off, as one sd. [g/mL]

    Where it was compared with tables a thousandth; where it was only fitted, twice that; outside of that, four times.

    mass_fraction: anhydrous CuSO4 in the solution. [-]

    Source: own comparison with CRC Handbook and with May 2011; the fit's own range; beyond it own choice.

    >>> [density_sd_g_per_ml(w, t) for w, t in ((0.1, 20), (0.1, 40), (0.25, 20), (0.1, 5))]
    [0.001, 0.002, 0.002, 0.004]
    """
    if mass_fraction <= VERIFIED_MASS_FRACTION and VERIFIED_COLDEST_C <= temperature_c <= VERIFIED_WARMEST_C:
        return VERIFIED_SD_G_PER_ML
    # a solution as strong as the strongest is on the edge of the fit, and what is stronger counts as that one
    is_fitted = mass_fraction < HIGHEST_MASS_FRACTION and temperature_c >= FITTED_FROM_C
    return (2 if is_fitted else 4) * VERIFIED_SD_G_PER_ML


SOLUTION_INPUTS = {
    "mass_fraction": (Sentence("w, anhydrous CuSO4 in the solution."), "-"),
    "temperature_c": (Sentence("t, temperature of the solution."), "°C"),
}
DENSITY_SOURCE = Sentence("Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141.")
DENSITY_SOURCES = Sentence(
    "Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141; Laliberté, J. Chem. Eng. Data 54 (2009) 1725."
)
AFTER_DENSITY = Sentence("definition; density after %(source)s") % {"source": DENSITY_SOURCE}
AFTER_DENSITY_AND_WATER = Sentence("%(after)s Water after Kell 1975.") % {"after": AFTER_DENSITY}


@formula(
    "ρ = (999.83952 + 16.945176 t - 0.0079870401 t² - 4.6170461e-5 t³ + 1.0556302e-7 t⁴ - 2.8054253e-10 t⁵) / (1 "
    "+ 0.01687985 t) / 1000",
    unit="g/mL",
    inputs={"temperature_c": ("t, temperature of the water.", "°C")},
    source="Kell, J. Chem. Eng. Data 20 (1975) 97.",
)
def water_density_g_per_ml(temperature_c: float) -> float:
    """
    Return the density of air-free water. [g/mL]

    >>> round(water_density_g_per_ml(20), 6)
    0.998204
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise OutOfRange("temperature", temperature_c, COLDEST_C, WARMEST_C, "°C")
    # nested, so that a replay, which asks this for every event, computes no powers
    t = temperature_c
    cubic = ((-2.8054253e-10 * t + 1.0556302e-7) * t - 4.6170461e-5) * t - 0.0079870401
    return ((cubic * t + 16.945176) * t + 999.83952) / (1 + 0.01687985 * t) / 1000


def density_and_slope(mass_fraction: float, temperature_c: float) -> tuple[float, float]:
    """
    Return the density of a solution and how fast it rises with mass fraction. [g/mL]

    ρ = 1 / ((1 - w) / ρ_water + w v), v = 1000 (w + c2 + c3 t) / ((c0 w + c1) exp((t + c4)² / 10⁶))

    v is the salt's apparent volume: negative in a weak bath, where the water draws together around the salt. Its
    inverse, the apparent density as published, has a pole there (w = 0.043 at 20 °C) and is never computed.

    mass_fraction: w, anhydrous CuSO4 in the solution. [-]
    temperature_c: t, temperature of the solution. [°C]

    Spread: ±0.002 g/mL where checked.
    Source: Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141; Laliberté, J. Chem. Eng. Data 54 (2009) 1725.

    >>> density, slope = density_and_slope(0.10, 20)
    >>> round(density, 4), round(slope, 2)
    (1.1075, 1.18)
    """
    if not 0.0 <= mass_fraction <= HIGHEST_MASS_FRACTION:
        raise OutOfRange("mass fraction", mass_fraction, 0.0, HIGHEST_MASS_FRACTION)
    water_ml_per_g, scale, shift = at_temperature(temperature_c)
    divisor = (C0 * mass_fraction + C1) * scale
    salt_ml_per_g = (mass_fraction + shift) / divisor
    salt_slope = (1.0 - salt_ml_per_g * C0 * scale) / divisor
    density = 1.0 / ((1.0 - mass_fraction) * water_ml_per_g + mass_fraction * salt_ml_per_g)
    return density, density * density * (water_ml_per_g - salt_ml_per_g - mass_fraction * salt_slope)


# most of a log is at a few temperatures, and a replay asks for the density at every event
@lru_cache(maxsize=1024)
def at_temperature(temperature_c: float) -> tuple[float, float, float]:
    """
    Return what of the density's formula depends on the temperature alone. [mL/g, g/mL, -]
    Source: as of `density_and_slope`.

    >>> round(at_temperature(20)[0], 4)
    1.0018
    """
    # c0 to c4 give m3/kg: a thousandfold makes mL/g
    scale = exp(1e-6 * (temperature_c + C4) ** 2) / 1000
    return 1.0 / water_density_g_per_ml(temperature_c), scale, C2 + C3 * temperature_c


@formula(
    "ρ = 1 / ((1 - w) / ρ_water + w v), v = 1000 (w + c2 + c3 t) / ((c0 w + c1) exp((t + c4)² / 10⁶)), with c0 to"
    " c4 = -1.12078294e-6, 6.06850591e-7, -0.118863232, 0.00378050076, 4763.96074",
    unit="g/mL",
    inputs=SOLUTION_INPUTS,
    spread="±0.002 g/mL where checked.",
    source=DENSITY_SOURCES,
    caution=caution_of_input,
)
def density_g_per_ml(mass_fraction: float, temperature_c: float) -> float:
    """
    Return the density of a solution of copper sulfate. [g/mL]

    >>> round(density_g_per_ml(0.10, 20), 4)
    1.1075
    """
    return density_and_slope(mass_fraction, temperature_c)[0]


@formula(
    "Derivative of the density's formula.",
    unit="g/mL",
    inputs=SOLUTION_INPUTS,
    source=DENSITY_SOURCE,
    caution=caution_of_input,
)
def density_slope(mass_fraction: float, temperature_c: float) -> float:
    """
    Return how fast the density rises with mass fraction: dρ/dw. [g/mL]

    >>> round(density_slope(0.10, 20), 2)
    1.18
    """
    return density_and_slope(mass_fraction, temperature_c)[1]


@formula(
    "Inverse of the density's formula, by Newton's method.",
    unit="-",
    inputs={
        "density_g_per_ml": ("ρ, density of the solution.", "g/mL"),
        "temperature_c": ("t, temperature of the solution.", "°C"),
    },
    spread="±0.0018 where checked, from the density's ±0.002 g/mL.",
    source=DENSITY_SOURCES,
    caution=caution_of_result,
)
def mass_fraction_from_density(density_g_per_ml: float, temperature_c: float) -> float:
    """
    Return the mass fraction of anhydrous CuSO4 in a solution of known density. [-]

    >>> round(mass_fraction_from_density(1.1075, 20), 4)
    0.1
    """
    return _invert(lambda w: density_and_slope(w, temperature_c), density_g_per_ml, "density", "g/mL")


@formula(
    "c = 1000 w ρ(w, t) · 249.686 / 159.609",
    unit="g/L",
    inputs=SOLUTION_INPUTS,
    source=AFTER_DENSITY,
    caution=caution_of_input,
)
def strength_g_per_l(mass_fraction: float, temperature_c: float) -> float:
    """
    Return the strength: blue crystals in a litre of the bath. [g/L]

    >>> round(strength_g_per_l(0.10, 20), 1)
    173.3
    """
    return mass_fraction * density_and_slope(mass_fraction, temperature_c)[0] * 1000 * BLUE_PER_ANHYDROUS


@formula(
    "Inverse of c = 1000 w ρ(w, t) · 249.686 / 159.609, by Newton's method.",
    unit="-",
    inputs={
        "strength_g_per_l": ("c, blue crystals in a litre of the bath.", "g/L"),
        "temperature_c": ("t, temperature of the solution.", "°C"),
    },
    source=AFTER_DENSITY,
    caution=caution_of_result,
)
def mass_fraction_from_strength(strength_g_per_l: float, temperature_c: float) -> float:
    """
    Return the mass fraction of anhydrous CuSO4 in a bath of known strength. [-]

    >>> round(mass_fraction_from_strength(125, 20), 5)
    0.07415
    """

    def curve(w: float) -> tuple[float, float]:
        density, slope = density_and_slope(w, temperature_c)
        return w * density * 1000 * BLUE_PER_ANHYDROUS, (density + w * slope) * 1000 * BLUE_PER_ANHYDROUS

    return _invert(curve, strength_g_per_l, "strength", "g/L")


@formula(
    "SG = ρ(w, t) / ρ_water(t_ref). The glass's own expansion is neglected.",
    unit="-",
    inputs={**SOLUTION_INPUTS, "reference_c": ("t_ref, printed on the hydrometer, 20 °C or 15.56 °C (60 °F).", "°C")},
    source=AFTER_DENSITY_AND_WATER,
    caution=caution_of_input,
)
def sg(mass_fraction: float, temperature_c: float, reference_c: float = 20) -> float:
    """
    Return what a hydrometer reads in the bath: specific gravity. [-]

    >>> round(sg(0.088, 20), 3)
    1.095
    """
    return density_and_slope(mass_fraction, temperature_c)[0] / water_density_g_per_ml(reference_c)


@formula(
    "Inverse of SG = ρ(w, t) / ρ_water(t_ref), by Newton's method. The glass's own expansion is neglected.",
    unit="-",
    inputs={
        "sg": ("SG, specific gravity as read.", "-"),
        "temperature_c": ("t, temperature of the solution.", "°C"),
        "reference_c": ("t_ref, printed on the hydrometer, 20 °C or 15.56 °C (60 °F).", "°C"),
    },
    source=AFTER_DENSITY_AND_WATER,
    caution=caution_of_result,
)
def mass_fraction_from_sg(sg: float, temperature_c: float, reference_c: float = 20) -> float:
    """
    Return the mass fraction of anhydrous CuSO4 from a hydrometer reading. [-]

    >>> round(strength_g_per_l(mass_fraction_from_sg(1.095, 20), 20), 1)
    149.8
    """
    reference = water_density_g_per_ml(reference_c)

    def curve(w: float) -> tuple[float, float]:
        density, slope = density_and_slope(w, temperature_c)
        return density / reference, slope / reference

    return _invert(curve, sg, "specific gravity")


@formula(
    "SG = 145 / (145 - °Bé)",
    unit="-",
    inputs={"baume": ("°Bé, degrees as read.", "°Bé")},
    source="US National Bureau of Standards Circular 19, from memory.",
)
def sg_from_baume(baume: float) -> float:
    """
    Return the specific gravity, 60/60 °F, of a reading on the US scale for liquids heavier than water. [-]

    >>> round(sg_from_baume(15), 4)
    1.1154
    """
    densest = baume_from_sg(DENSEST_SG)
    if not 0.0 <= baume <= densest:
        raise OutOfRange("Baumé reading", baume, 0.0, densest, "°Bé")
    return BAUME_MODULUS / (BAUME_MODULUS - baume)


@formula(
    "°Bé = 145 - 145 / SG",
    unit="°Bé",
    inputs={"sg": ("SG, specific gravity, 60/60 °F.", "-")},
    source="US National Bureau of Standards Circular 19, from memory.",
)
def baume_from_sg(sg: float) -> float:
    """
    Return the degrees on the US scale for liquids heavier than water. [°Bé]

    >>> round(baume_from_sg(1.1154), 1)
    15.0
    """
    if not 1.0 <= sg <= DENSEST_SG:
        raise OutOfRange("specific gravity", sg, 1.0, DENSEST_SG)
    return BAUME_MODULUS - BAUME_MODULUS / sg


@formula(
    "w = (12.396 + 0.18643 t + 0.0014675 t²) / 100",
    unit="-",
    inputs={"temperature_c": ("t, temperature of the bath.", "°C")},
    spread="±0.0004 to 50 °C, ±0.0007 at 60 °C.",
    source=(
        'own fit to CRC Handbook of Chemistry and Physics, 98th ed., 2017, "Aqueous Solubility of Inorganic Compounds'
        ' at Various Temperatures".'
    ),
)
def solubility_mass_fraction(temperature_c: float) -> float:
    """
    Return the mass fraction of anhydrous CuSO4 in a saturated bath. [-]

    >>> round(solubility_mass_fraction(20), 3)
    0.167
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise OutOfRange("temperature", temperature_c, COLDEST_C, WARMEST_C, "°C")
    return (12.396 + (0.18643 + 0.0014675 * temperature_c) * temperature_c) / 100


@formula(
    "Inverse of the solubility's formula; ice comes first where the bath freezes before it is saturated, which is"
    " below the eutectic (about w = 0.121, -1.5 °C).",
    unit="°C",
    inputs={"mass_fraction": ("w, anhydrous CuSO4 in the solution.", "-")},
    source="own fits to CRC Handbook of Chemistry and Physics, 98th ed., 2017 and 102nd ed., 2021.",
)
def crystals_below_c(mass_fraction: float) -> float | None:
    """
    Return the temperature below which a cooling bath drops blue crystals; None where ice comes first. [°C]

    >>> round(crystals_below_c(0.1385), 1)
    7.4
    >>> crystals_below_c(0.10)
    """
    if not 0.0 <= mass_fraction <= HIGHEST_MASS_FRACTION:
        raise OutOfRange("mass fraction", mass_fraction, 0.0, HIGHEST_MASS_FRACTION)
    # weaker than a bath saturated at the eutectic, it turns to ice first
    if mass_fraction < solubility_mass_fraction(COLDEST_C):
        return None
    saturated_c = (sqrt(0.18643**2 - 4 * 0.0014675 * (12.396 - 100 * mass_fraction)) - 0.18643) / (2 * 0.0014675)
    # asked below nought only: a bath that saturates above it may be too strong for the freezing curve
    if saturated_c < 0 and freezing_point_c(mass_fraction) > saturated_c:
        return None
    return saturated_c


@formula(
    "t = -(13.308 w - 40.66 w² + 251.7 w³)",
    unit="°C",
    inputs={"mass_fraction": ("w, anhydrous CuSO4 in the solution, to 0.14.", "-")},
    spread="±0.02 °C.",
    source=(
        'own fit to CRC Handbook of Chemistry and Physics, 102nd ed., 2021, "Concentrative Properties of Aqueous '
        'Solutions".'
    ),
)
def freezing_point_c(mass_fraction: float) -> float:
    """
    Return the temperature at which ice begins to form in the bath. [°C]

    >>> round(freezing_point_c(0.10), 2)
    -1.18
    """
    if not 0.0 <= mass_fraction <= 0.14:
        raise OutOfRange("mass fraction", mass_fraction, 0.0, 0.14)
    return -((251.7 * mass_fraction - 40.66) * mass_fraction + 13.308) * mass_fraction


@formula(
    "n = 1.3330 + 0.18782 w - 0.027975 w² + 0.50666 w³",
    unit="-",
    inputs={"mass_fraction": ("w, anhydrous CuSO4 in the solution, to 0.18.", "-")},
    spread="±0.0001.",
    source=(
        'own fit to CRC Handbook of Chemistry and Physics, 102nd ed., 2021, "Concentrative Properties of Aqueous '
        'Solutions".'
    ),
)
def refractive_index(mass_fraction: float) -> float:
    """
    Return the refractive index of the bath at 20 °C, sodium light. [-]

    >>> round(refractive_index(0.10), 4)
    1.352
    """
    if not 0.0 <= mass_fraction <= 0.18:
        raise OutOfRange("mass fraction", mass_fraction, 0.0, 0.18)
    return 1.3330 + (0.18782 + (-0.027975 + 0.50666 * mass_fraction) * mass_fraction) * mass_fraction


@formula(
    "κ = exp(4.96671 + 0.590727 ln w - 0.0272399 ln² w) · (1 + 0.02 (t - 20)); the tables give 0.5 to 15 %, so a "
    "stronger bath is extrapolated, and the 2 % per degree is from memory.",
    unit="mS/cm",
    inputs={
        "mass_fraction": ("w, anhydrous CuSO4 in the solution, 0.005 to 0.18.", "-"),
        "temperature_c": ("t, temperature of the bath, 0 to 40 °C.", "°C"),
    },
    spread="±10 %.",
    source=(
        'own fit to CRC Handbook of Chemistry and Physics, 91st ed., 2010, "Electrical Conductivity of Aqueous '
        'Solutions".'
    ),
    caution=caution_of_input,
)
def conductivity_ms_per_cm(mass_fraction: float, temperature_c: float) -> float:
    """
    Return the electrical conductivity of the bath. [mS/cm]

    >>> round(conductivity_ms_per_cm(0.05, 20), 1)
    19.2
    """
    if not 0.005 <= mass_fraction <= 0.18:
        raise OutOfRange("mass fraction", mass_fraction, 0.005, 0.18)
    if not 0.0 <= temperature_c <= 40.0:
        raise OutOfRange("temperature", temperature_c, 0.0, 40.0, "°C")
    ln_w = log(mass_fraction)
    return exp(4.96671 + (0.590727 - 0.0272399 * ln_w) * ln_w) * (1 + 0.02 * (temperature_c - 20))


def _invert(curve: Callable[[float], tuple[float, float]], target: float, name: str, unit: str = "") -> float:
    """Mass fraction at which a rising curve (value and slope) meets the target: Newton, kept inside a bracket."""
    low, high = 0.0, HIGHEST_MASS_FRACTION
    weakest, strongest = curve(low)[0], curve(high)[0]
    # refused in the unit that was read: nobody at a bench knows mass fractions
    if not weakest <= target <= strongest:
        raise OutOfRange(name, target, weakest, strongest, unit)
    # a straight line to begin with: the curves are nearly straight, so a few steps do
    w = high * (target - weakest) / (strongest - weakest)
    while True:
        value, slope = curve(w)
        if value < target:
            low = w
        else:
            high = w
        # a step past the bracket would leave what the density is fitted to; halving stays inside it
        step = (target - value) / slope
        following = w + step if low <= w + step <= high else (low + high) / 2
        # far below any digit that is shown, and well above rounding, which would never settle
        if abs(following - w) < 1e-13:
            return following
        w = following
