"""
What is in a drum, from what went into it: litres, weight, copper, and how full it stands.

What nobody knows of one part, nobody knows of the whole. What was measured of the whole stands for all that was in it
by then.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from chemistry.bath import BathState
from chemistry.bath.events import POUR_L, POUR_SHARE, WET_SHARE, Removed
from chemistry.ranges import check_range
from chemistry.solution.sulfate import COPPER_PER_BLUE, density_g_per_ml, mass_fraction_from_strength
from chemistry.working import HALF_WIDTH_SDS, Figure, Input, Working

POURED_SHARE_SD = 0.10 / HALF_WIDTH_SDS  # litres by the marks of a jug or a pail: common practice, no source
WEIGHED_SHARE_SD, WEIGHED_SD_G = 0.02 / HALF_WIDTH_SDS, 5.0 / HALF_WIDTH_SDS  # a kitchen scale: own estimate
WATERY_G_PER_ML = (0.99, 1.05)  # rinse water and used cleaner: own estimate
SOLVENT_G_PER_ML = (0.70, 0.95)  # spirits to water-based thinners: own estimate

CLEANED_PLATE_G, CLEANED_PLATE_SD_G = 0.05, 0.025  # 0.3 µm of oxide on 300 cm²: own estimate, no source
STAINED_TOWEL_G, STAINED_TOWEL_SD_G = 0.12, 0.06  # 2 mL of bath on each: own estimate, no source
MUD_COPPER_SHARES = (0.0, 0.6)  # of mud, powder and cloth weighed wet: own estimate, no source

MG_PER_G = 1000
G_PER_MG = 1e-3


class Known(NamedTuple):
    """A figure and its sd."""

    value: float
    sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """
    One thing that went in, or a measurement of all that was in by then; what is not known of it is None.

    alike: parts that were guessed in the same way are wrong in the same way. "" stands alone.
    """

    name: str
    litres: Known | None = None
    mass_g: Known | None = None
    copper_g: Known | None = None
    alike: str = ""


def volume(parts: Sequence[Part]) -> Figure | None:
    """
    Return the litres in a drum; None where nothing in it was measured so. [L]

    >>> figure = volume([Part(name="first", litres=Known(4, 0.2)), Part(name="second", litres=Known(5, 0.2))])
    >>> print(f"{figure.value:.1f} ± {figure.half_width:.1f} L")
    9.0 ± 0.6 L
    """
    return _sum("volume", "L", [part for part in parts if part.litres], lambda part: part.litres)


def mass(parts: Sequence[Part]) -> Figure | None:
    """Return the weight of what is in a drum; None while something in it has none. [g]"""
    return _sum("mass", "g", parts, lambda part: part.mass_g)


def copper(parts: Sequence[Part]) -> Figure | None:
    """
    Return the copper in a drum; None while nobody knows what some part brought. [g]

    >>> drips = [Part(name=name, copper_g=Known(4, 1), alike="drips") for name in ("first", "second")]
    >>> print(f"{copper(drips).value:.0f} ± {copper(drips).half_width:.1f} g")
    8 ± 3.9 g
    """
    return _sum("copper", "g", parts, lambda part: part.copper_g)


def per_litre(copper: Figure, volume: Figure) -> Figure:
    """
    Return the copper in a litre of what is in a drum. [mg/L]

    >>> whole = [Part(name="rinse", litres=Known(4, 0.2), copper_g=Known(2, 0.4))]
    >>> round(per_litre(copper(whole), volume(whole)).value)
    500
    """
    return _per("copper in a litre", copper, volume, by="volume", unit="mg/L", factor=MG_PER_G)


def per_kilogram(copper: Figure, mass: Figure) -> Figure:
    """Return the copper in a kilogram of what is in a drum. [mg/kg]"""
    return _per("copper in a kilogram", copper, mass, by="mass", unit="mg/kg", factor=MG_PER_G**2)


def by_test(concentration: Known, amount: Figure, *, per_unit: float) -> Known:
    """The copper in all there is of a drum, by a test of some of it; per_unit: grams for a unit of the two. [g]"""
    value = per_unit * concentration.value * amount.value
    share = hypot(_share(concentration.value, concentration.sd), _share(amount.value, amount.sd or 0.0))
    return Known(value, value * share)


def net(gross_g: float, tare_g: float, half_width_g: float) -> Known:
    """What is in a vessel, weighed with it and without it on the same scale. [g]"""
    return Known(gross_g - tare_g, hypot(half_width_g, half_width_g) / HALF_WIDTH_SDS)


def between(low: float, high: float) -> Known:
    """
    The middle of a 95 % range.

    >>> between(90, 110).value
    100.0
    """
    return Known((low + high) / 2, (high - low) / 2 / HALF_WIDTH_SDS)


def poured(litres: float) -> Known:
    """Litres read off a jug."""
    check_range("litres", litres, 0.0, 2000.0, "L")
    return Known(litres, POURED_SHARE_SD * litres)


def weighed(mass_g: float) -> Known:
    """Grams read off a kitchen scale."""
    check_range("mass", mass_g, 0.0, 2_000_000.0, "g")
    return Known(mass_g, hypot(WEIGHED_SHARE_SD * mass_g, WEIGHED_SD_G))


def mass_of(litres: Known, density: Known) -> Known:
    """What so many litres weigh; density in g/mL. [g]"""
    value = MG_PER_G * litres.value * density.value
    return Known(value, value * hypot(_share(*litres), _share(*density)))


def bath_density(strength_g_per_l: float) -> Known:
    """Of a bath at 20 °C, its own spread neglected beside that of a jug. [g/mL]"""
    return Known(density_g_per_ml(mass_fraction_from_strength(strength_g_per_l, 20), 20), 0.0)


def by_jug_sd_l(litres: float) -> float:
    """The sd of bath taken out by a jug, as its log has it. [L]"""
    return POUR_SHARE * litres + POUR_L


def in_bath_removed(event: Removed, after: BathState) -> Known:
    """
    The copper in what left a bath, its crystals among it; taking liquid out leaves the strength as it was. [g]

    after: the bath once it was gone.
    """
    sd_l = by_jug_sd_l(event.litres) if event.sd_l is None else event.sd_l
    grams = event.litres * after.strength_g_per_l + event.crystals_g
    sds_g = (sd_l * after.strength_g_per_l, event.litres * after.strength_sd_g_per_l, WET_SHARE * event.crystals_g)
    return Known(COPPER_PER_BLUE * grams, COPPER_PER_BLUE * hypot(*sds_g))


def in_cleaner(plates: int) -> Known:
    """What a vinegar-and-salt cleaner dissolved off plates: a guess of their tarnish, alike for all. [g]"""
    return Known(plates * CLEANED_PLATE_G, plates * CLEANED_PLATE_SD_G)


def on_towels(towels: int) -> Known:
    """What towels and gloves took up: a guess, alike for all. [g]"""
    return Known(towels * STAINED_TOWEL_G, towels * STAINED_TOWEL_SD_G)


def in_mud(wet_g: float) -> Known:
    """What is copper in wet mud and powder with the cloth they lie on. [g]"""
    low, high = MUD_COPPER_SHARES
    return between(low * wet_g, high * wet_g)


def added(one: Known, other: Known) -> Known:
    return Known(one.value + other.value, hypot(one.sd, other.sd))


def of(known: Known, share: float) -> Known:
    """A share of it, as what is poured over carries."""
    return Known(share * known.value, share * known.sd)


def _sum(name: str, unit: str, parts: Sequence[Part], what: Callable[[Part], Known | None]) -> Figure | None:
    found = [(part, what(part)) for part in parts]
    known = [(part, value) for part, value in found if value is not None]
    if not known or len(known) < len(found):
        return None
    names = [f"{number}. {part.name}" for number, (part, _) in enumerate(known, start=1)]
    working = Working(
        formula=f"{name} = {' + '.join(names)}",
        inputs=tuple(
            Input(name=each, value=value.value, unit=unit, sd=value.sd)
            for each, (_, value) in zip(names, known, strict=True)
        ),
        source="what was written with each deposit, and what was measured since",
    )
    return Figure(value=sum(value.value for _, value in known), unit=unit, working=working, sd=_sd(known))


def _sd(known: Sequence[tuple[Part, Known]]) -> float:
    groups: dict[str, list[float]] = defaultdict(list)
    for number, (part, value) in enumerate(known):
        groups[part.alike or str(number)].append(value.sd)
    return hypot(*(sum(sds) for sds in groups.values()))


def _per(name: str, copper: Figure, amount: Figure, *, by: str, unit: str, factor: float) -> Figure:
    check_range(by, amount.value, 1e-9, 1e9, amount.unit)
    value = factor * copper.value / amount.value
    working = Working(
        formula=f"{name} = {factor:.0f} × copper / {by}",
        inputs=(
            Input(name="copper", value=copper.value, unit=copper.unit, sd=copper.sd),
            Input(name=by, value=amount.value, unit=amount.unit, sd=amount.sd),
        ),
        source="what went in, as the deposits tell it",
    )
    share = hypot(_share(copper.value, copper.sd or 0.0), _share(amount.value, amount.sd or 0.0))
    return Figure(value=value, unit=unit, working=working, sd=value * share)


def _share(value: float, sd: float) -> float:
    return sd / value if value else 0.0
