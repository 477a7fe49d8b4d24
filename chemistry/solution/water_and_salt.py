"""
A bath as two masses, its free water and its salt, and what a ruler and a hydrometer make of them.

Salt is counted as blue crystals (CuSO4·5H2O), which bring their own five waters; free water is all the other water.
Crystals that dissolve, drop to the floor or are lifted out move salt only, and the bath weighs free water plus salt.

Figures come with their slopes by water and by salt, which a filter needs. All salt is taken as dissolved, up to the
strongest solution the density formula knows: crystals on the floor take a little more room, 4 mL in a 2.6 L bath with
70 g of them, and that is neglected.
"""

from functools import lru_cache

from chemistry.solution import sulfate

ANHYDROUS = sulfate.ANHYDROUS_PER_BLUE
STRONGEST = sulfate.HIGHEST_MASS_FRACTION
STRONGEST_G_PER_G = STRONGEST / (ANHYDROUS - STRONGEST)  # blue crystals to a gram of free water


def mass_fraction(water_g: float, salt_g: float) -> float:
    """
    Share of anhydrous CuSO4 in the bath by mass. [-]
    Source: definition; molar masses of `sulfate`.

    >>> round(mass_fraction(1000, 250), 4)
    0.1278
    """
    return ANHYDROUS * salt_g / (water_g + salt_g)


def volume(water_g: float, salt_g: float, temperature_c: float) -> tuple[float, float, float]:
    """
    Volume of the bath and its slopes by water and by salt. [L, L/g, L/g]

    V = (water + salt) / ρ(w, t)
    Source: density after Laliberté and Cooper 2004; past its strongest solution, that solution and crystals beside it.

    >>> litres, by_water, by_salt = volume(11_000, 3000, 20)
    >>> round(litres, 2)
    12.15
    """
    mass_g = water_g + salt_g
    w = ANHYDROUS * salt_g / mass_g
    if w > STRONGEST:
        # the strongest solution that all the water can make, and the rest of the salt as crystals beside it
        crystals = 0.001 / sulfate.BLUE_CRYSTALS_G_PER_ML
        strongest = sulfate.density_g_per_ml(STRONGEST, temperature_c)
        by_water = 0.001 * (1 + STRONGEST_G_PER_G) / strongest - STRONGEST_G_PER_G * crystals
        return water_g * by_water + salt_g * crystals, by_water, crystals
    density, slope = sulfate.density_and_slope(w, temperature_c)
    litres_per_g = 0.001 / density
    lean = slope / density
    return mass_g * litres_per_g, litres_per_g * (1 + w * lean), litres_per_g * (1 - (ANHYDROUS - w) * lean)


def specific_gravity(
    water_g: float, salt_g: float, temperature_c: float, reference_c: float
) -> tuple[float, float, float]:
    """
    Specific gravity of the bath and its slopes by water and by salt. [-, 1/g, 1/g]
    Source: definition; density after Laliberté and Cooper 2004, water after Kell 1975.

    >>> sg, by_water, by_salt = specific_gravity(11_000, 3000, 20, 20)
    >>> round(sg, 3)
    1.154
    """
    mass_g = water_g + salt_g
    # crystals beside the liquid do not float the glass: past the strongest solution it reads that one
    w = min(ANHYDROUS * salt_g / mass_g, STRONGEST)
    density, slope = sulfate.density_and_slope(w, temperature_c)
    reference = _reference_g_per_ml(reference_c)
    # all from one look at the density, which is the dear part of it
    by_fraction = slope / (mass_g * reference)
    return density / reference, -w * by_fraction, (ANHYDROUS - w) * by_fraction


# a studio has a hydrometer or two, and asks at every reading
@lru_cache(maxsize=8)
def _reference_g_per_ml(reference_c: float) -> float:
    return sulfate.water_density_g_per_ml(reference_c)


def saturated_mass_fraction(temperature_c: float) -> float:
    """
    Share of anhydrous CuSO4 in a liquid that stands over crystals, as far as the density formula reaches. [-]
    Source: sulfate.solubility_mass_fraction.

    >>> round(saturated_mass_fraction(20), 3)
    0.167
    """
    return min(sulfate.solubility_mass_fraction(temperature_c), STRONGEST)


@lru_cache(maxsize=256)
def saturation_g_per_g(temperature_c: float) -> float:
    """
    Blue crystals that one gram of free water holds. [g/g]
    Source: sulfate.solubility_mass_fraction, and the five waters that the crystals bring.

    >>> round(saturation_g_per_g(20), 3)
    0.354
    """
    w = saturated_mass_fraction(temperature_c)
    return w / (ANHYDROUS - w)


def water_per_litre(strength_g_per_l: float, temperature_c: float) -> tuple[float, float]:
    """
    Free water in a litre of bath of known strength, and its slope by strength. [g/L, -]
    Source: mass balance; density after Laliberté and Cooper 2004.

    >>> grams, by_strength = water_per_litre(250, 20)
    >>> round(grams)
    904
    """
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, temperature_c)
    density, slope = sulfate.density_and_slope(w, temperature_c)
    by_strength = slope / ((density + w * slope) * sulfate.BLUE_PER_ANHYDROUS)
    return 1000 * density - strength_g_per_l, by_strength - 1
