"""A bath's strength in the units that studios read it in: by the litre, by the hydrometer, by the gallon."""

from chemistry import locale
from chemistry.measured import plain
from chemistry.quantity import g_per_l_in
from chemistry.solution import sulfate

SIXTY_F_IN_C = 15.56


def baume(strength_g_per_l: float) -> float:
    """
    Return what a US Baumé hydrometer shows in a bath of this strength, both at 60 °F; at most the strongest. [°Bé]

    Source: density and US Baumé scale as in `sulfate`.

    >>> round(baume(182.3), 1)
    15.0
    """
    strongest = sulfate.strength_g_per_l(sulfate.HIGHEST_MASS_FRACTION, 20)
    mass_fraction = sulfate.mass_fraction_from_strength(min(max(strength_g_per_l, 0.0), strongest), 20)
    return sulfate.baume_from_sg(sulfate.sg(mass_fraction, SIXTY_F_IN_C, SIXTY_F_IN_C))


def strength_from_baume(degrees: float) -> float:
    """
    Return the strength of the bath in which a US Baumé hydrometer shows this, both at 60 °F. [g/L]

    Source: density and US Baumé scale as in `sulfate`.

    >>> round(baume(strength_from_baume(15.0)), 6)
    15.0
    """
    mass_fraction = sulfate.mass_fraction_from_sg(sulfate.sg_from_baume(degrees), SIXTY_F_IN_C, SIXTY_F_IN_C)
    return sulfate.strength_g_per_l(mass_fraction, 20)


def number(g_per_l: float, unit: str) -> float:
    """
    Return a strength in g/L in another unit. [unit]

    Source: definitions; for °Bé as in `baume`.

    >>> round(number(182.3, "oz/gal"), 1), round(number(182.3, "°Bé"), 1)
    (24.3, 15.0)
    """
    if unit == "°Bé":
        return baume(g_per_l)
    return g_per_l if unit == "g/L" else g_per_l / g_per_l_in(unit)


def g_per_l(strength: float, unit: str) -> float:
    """
    Return a strength that was told in a unit. [g/L]

    Source: definitions; for °Bé as in `baume`.

    >>> round(g_per_l(24.34, "oz/gal"), 1)
    182.3
    """
    if unit == "°Bé":
        return strength_from_baume(strength)
    return strength if unit == "g/L" else strength * g_per_l_in(unit)


def decimals(unit: str) -> int:
    """
    >>> decimals("g/L"), decimals("°Bé")
    (0, 1)
    """
    return 0 if unit == "g/L" else 1


def strength(g_per_l: float) -> str:
    """
    Write a bath's strength as the studio reads it.

    >>> strength(182.3)
    '182 g/L'
    """
    unit = locale.current().strength_unit
    return f"{plain(number(g_per_l, unit), decimals(unit))} {unit}"
