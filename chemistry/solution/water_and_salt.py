"""
A bath as masses, its free water, its salt and its acid, and what a ruler and a hydrometer make of them.

Salt is counted as blue crystals (CuSO4·5H2O), which bring their own five waters; free water is all the other water.
Crystals that dissolve, drop to the floor or are lifted out move salt only, and the bath weighs free water plus salt.

Figures come with their slopes by water and by salt, which a filter needs. All salt is taken as dissolved, up to the
strongest solution the density formula knows: crystals on the floor take a little more room, 4 mL in a 2.6 L bath with
70 g of them, and that is neglected.
"""

from functools import lru_cache

from chemistry.solution import sulfate, sulfuric

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


def volume_with_acid(
    water_g: float, salt_g: float, acid_g: float, temperature_c: float
) -> tuple[float, float, float, float]:
    """
    Volume of a bath that may hold acid, and its slopes by water, salt and acid. [L, L/g, L/g, L/g]
    Source: sulfuric.specific_volume; salt past the strongest solution lies beside it as crystals, as in `volume`.

    >>> litres, *slopes = volume_with_acid(11_000, 3000, 600, 20)
    >>> round(litres, 2)
    12.4
    >>> round(volume_with_acid(11_000, 3000, 0, 20)[0] - volume(11_000, 3000, 20)[0], 9)
    0.0
    """
    held_g = min(salt_g, water_g * STRONGEST_G_PER_G)
    mass_g = water_g + held_g + acid_g
    copper, acid = ANHYDROUS * held_g / mass_g, acid_g / mass_g
    volume_ml, by_copper, by_acid = sulfuric.specific_volume(copper, acid, temperature_c)
    # the volume of a gram more of each: the whole grows by it, and what is there is thinned
    alone = volume_ml - copper * by_copper - acid * by_acid
    litres, by_water, by_salt = 0.001 * mass_g * volume_ml, 0.001 * alone, 0.001 * (alone + ANHYDROUS * by_copper)
    if held_g < salt_g:
        crystals = 0.001 / sulfate.BLUE_CRYSTALS_G_PER_ML
        litres += (salt_g - held_g) * crystals
        by_water, by_salt = by_water + STRONGEST_G_PER_G * (by_salt - crystals), crystals
    return litres, by_water, by_salt, 0.001 * (alone + by_acid)


def specific_gravity_with_acid(
    water_g: float, salt_g: float, acid_g: float, temperature_c: float, reference_c: float
) -> tuple[float, float, float, float]:
    """
    Specific gravity of a bath that may hold acid, and its slopes by water, salt and acid. [-, 1/g, 1/g, 1/g]
    Source: definition; sulfuric.specific_volume, water after Kell 1975.

    >>> [round(specific_gravity_with_acid(11_000, 3000, acid_g, 20, 20)[0], 3) for acid_g in (0, 600)]
    [1.154, 1.18]
    """
    # crystals beside the liquid do not float the glass
    held_g = min(salt_g, water_g * STRONGEST_G_PER_G)
    litres, *slopes = volume_with_acid(water_g, held_g, acid_g, temperature_c)
    g_per_l, reference = (water_g + held_g + acid_g) / litres, 1000 * _reference_g_per_ml(reference_c)
    by_water, by_salt, by_acid = ((1 - g_per_l * slope) / (litres * reference) for slope in slopes)
    return g_per_l / reference, by_water, by_salt, by_acid


def water_for(litres: float, salt_g: float, acid_g: float, temperature_c: float) -> tuple[float, float]:
    """
    Free water that with so much salt and acid fills a volume, and its slope by that volume. [g, g/L]
    Source: mass balance; sulfuric.specific_volume, solved by Newton's method.

    >>> round(water_for(12.40, 3000, 600, 20)[0])
    11004
    """
    water_g = max(1.0, 1000 * litres - salt_g)
    for _ in range(50):
        reached, by_water, _, _ = volume_with_acid(water_g, salt_g, acid_g, temperature_c)
        step = (litres - reached) / by_water
        # halved where it would lead below nothing: there is no such bath
        water_g = max(water_g + step, water_g / 2, 1e-6)
        if abs(step) < 1e-9 * litres * 1000:
            break
    return water_g, 1 / by_water


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


def density_sd(water_g: float, salt_g: float, temperature_c: float) -> float:
    """
    How far the density of a bath can be off by its formula, as one sd. [g/mL]
    Source: sulfate.density_sd_g_per_ml.

    >>> density_sd(11_000, 3000, 20), density_sd(11_000, 3000, 5)
    (0.001, 0.004)
    """
    return sulfate.density_sd_g_per_ml(min(ANHYDROUS * salt_g / (water_g + salt_g), STRONGEST), temperature_c)


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
