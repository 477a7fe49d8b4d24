"""
What is in a drum, from what went into it: litres, weight, copper, and how full it stands.

What nobody knows of one part, nobody knows of the whole. What was measured of the whole stands for all that was in it
by then. Litres and copper of a pour carry the same error, so a litre of what is in a drum is known as well as the bath.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from chemistry.measured import HALF_WIDTH_SDS, Measured, total, within
from chemistry.ranges import check_range
from chemistry.sentences import PLUS, Sentence, strung
from chemistry.working import Figure, Input, Working

POURED_SHARE_SD = 0.10 / HALF_WIDTH_SDS  # litres by the marks of a jug or a pail: common practice, no source
WEIGHED_SHARE_SD, WEIGHED_SD_G = 0.02 / HALF_WIDTH_SDS, 5.0 / HALF_WIDTH_SDS  # a kitchen scale: own estimate
WATERY = within(0.99, 1.05, "g/mL")  # rinse water and used cleaner: own estimate
SOLVENT = within(0.70, 0.95, "g/mL")  # spirits to water-based thinners: own estimate

CLEANED_PLATE_G, CLEANED_PLATE_SD_G = 0.05, 0.025  # 0.3 µm of oxide on 300 cm²: own estimate, no source
STAINED_TOWEL_G, STAINED_TOWEL_SD_G = 0.12, 0.06  # 2 mL of bath on each: own estimate, no source
MUD_COPPER_SHARES = (0.0, 0.6)  # of mud, powder and cloth weighed wet: own estimate, no source

MG_PER_G = 1000
G_PER_KG = 1000
MOST_LITRES, MOST_GRAMS = 2000.0, 2_000_000.0
MOST_TOLD = 25  # parts of a sum one by one: a drum of ten years would be a page of thousands


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """
    One thing that went in, or a measurement of all that was in by then; what is not known of it is None.

    name: made only where it is told.
    """

    name: str | Callable[[], str]
    litres: Measured | None = None
    mass_g: Measured | None = None
    copper_g: Measured | None = None
    acid_g: Measured | None = None

    @property
    def told(self) -> str:
        return self.name if isinstance(self.name, str) else self.name()


def volume(parts: Sequence[Contribution]) -> Figure | None:
    """
    Return the litres in a drum; None where nothing in it was measured so. [L]

    Source: what was written with each deposit, and what was measured since.

    >>> first, second = Measured(4, 0.2, "L"), Measured(5, 0.2, "L")
    >>> figure = volume([Contribution(name="first", litres=first), Contribution(name="second", litres=second)])
    >>> print(f"{figure.value:.1f} ± {figure.half_width:.1f} L")
    9.0 ± 0.6 L
    """
    # towels and mud have no litres, and do not make those of the liquid unknown
    return _sum("volume", "L", [(part, part.litres) for part in parts if part.litres])


def mass(parts: Sequence[Contribution]) -> Figure | None:
    """
    Return the weight of what is in a drum; None while something in it has none. [g]

    Source: what was written with each deposit, and what was measured since.

    >>> mass([Contribution(name="mud", mass_g=weighed(200)), Contribution(name="towels")])
    """
    return _sum("mass", "g", [(part, part.mass_g) for part in parts])


def copper(parts: Sequence[Contribution]) -> Figure | None:
    """
    Return the copper in a drum; None while nobody knows what some part brought. [g]

    Source: what was written with each deposit, and what was measured since.

    >>> drips = [Contribution(name=day, copper_g=Measured(4, 1, "g", error="drips")) for day in ("Monday", "Friday")]
    >>> print(f"{copper(drips).value:.0f} ± {copper(drips).half_width:.1f} g")
    8 ± 3.9 g
    """
    return _sum("copper", "g", [(part, part.copper_g) for part in parts])


def acid(parts: Sequence[Contribution]) -> Figure | None:
    """
    Return the sulfuric acid that baths brought into a drum; None where none of them is known to hold any. [g]

    Source: what was written with each deposit, and what was measured since.

    >>> acid([Contribution(name="bath", acid_g=Measured(210, 6, "g")), Contribution(name="rinse")]).value
    210.0
    """
    return _sum("acid", "g", [(part, part.acid_g) for part in parts if part.acid_g])


def acid_per_litre(acid: Figure, volume: Figure) -> Figure:
    """
    Return the sulfuric acid in a litre of what is in a drum. [g/L]

    Source: what went in, as the deposits tell it.

    >>> poured_l = Measured(4, 0.2, "L")
    >>> whole = [Contribution(name="bath", litres=poured_l, acid_g=poured_l.times(Measured(70, 2), "g"))]
    >>> found = acid_per_litre(acid(whole), volume(whole))
    >>> print(f"{found.value:.0f} ± {found.sd:.0f} {found.unit}")
    70 ± 2 g/L
    """
    return _per("acid in a litre", "acid", acid, volume, by="volume", unit="g/L", factor=1)


def acid_by_weight(acid: Figure, mass: Figure) -> Figure:
    """
    Return how much of what is in a drum is sulfuric acid, by weight. [%]

    Source: what went in, as the deposits tell it.

    >>> whole = [Contribution(name="mud", mass_g=Measured(500, unit="g"), acid_g=Measured(15, unit="g"))]
    >>> acid_by_weight(acid(whole), mass(whole)).value
    3.0
    """
    return _per("acid by weight", "acid", acid, mass, by="mass", unit="%", factor=100)


def per_litre(copper: Figure, volume: Figure) -> Figure:
    """
    Return the copper in a litre of what is in a drum. [mg/L]

    Source: what went in, as the deposits tell it.

    >>> poured_l = Measured(4, 0.2, "L")
    >>> whole = [Contribution(name="bath", litres=poured_l, copper_g=poured_l.times(Measured(58.3, 0.5), "g"))]
    >>> print(f"{per_litre(copper(whole), volume(whole)).value:.0f} ± {per_litre(copper(whole), volume(whole)).sd:.0f}")
    58300 ± 500
    """
    return _per("copper in a litre", "copper", copper, volume, by="volume", unit="mg/L", factor=MG_PER_G)


def per_kilogram(copper: Figure, mass: Figure) -> Figure:
    """
    Return the copper in a kilogram of what is in a drum. [mg/kg]

    Source: what went in, as the deposits tell it.

    >>> whole = [Contribution(name="mud", mass_g=Measured(500, unit="g"), copper_g=Measured(2, unit="g"))]
    >>> per_kilogram(copper(whole), mass(whole)).value
    4000.0
    """
    return _per("copper in a kilogram", "copper", copper, mass, by="mass", unit="mg/kg", factor=MG_PER_G * G_PER_KG)


def by_weight(copper: Figure, mass: Figure) -> Figure:
    """
    Return how much of what is in a drum is copper, by weight. [%]

    Source: what went in, as the deposits tell it.

    >>> whole = [Contribution(name="mud", mass_g=Measured(500, unit="g"), copper_g=Measured(200, unit="g"))]
    >>> by_weight(copper(whole), mass(whole)).value
    40.0
    """
    return _per("copper by weight", "copper", copper, mass, by="mass", unit="%", factor=100)


def net(gross_g: float, tare_g: float, half_width_g: float) -> Measured:
    """
    Return what is in a vessel, weighed with it and without it on the same scale. [g]

    Source: difference of two readings.

    >>> net(5000, 1000, 19.6)
    Measured(4000, 14.1, 'g')
    """
    # both readings of one scale: each is off for itself
    sd_g = half_width_g / HALF_WIDTH_SDS
    return Measured(gross_g, sd_g, "g") - Measured(tare_g, sd_g, "g")


def poured(litres: float) -> Measured:
    """
    Return litres read off a jug. [L]

    Source: common practice, no source.

    >>> poured(4)
    Measured(4, 0.204, 'L')
    """
    check_range("litres", litres, 0.0, MOST_LITRES, "L")
    return Measured(litres, POURED_SHARE_SD * litres, "L")


def weighed(mass_g: float) -> Measured:
    """
    Return grams read off a kitchen scale. [g]

    Source: own estimate of the scale.

    >>> weighed(200)
    Measured(200, 3.27, 'g')
    """
    check_range("mass", mass_g, 0.0, MOST_GRAMS, "g")
    # two errors of a scale: a share of what lies on it, and some grams whatever lies on it
    return Measured(mass_g, WEIGHED_SHARE_SD * mass_g, "g") + Measured(0.0, WEIGHED_SD_G, "g")


def in_cleaner(plates: int) -> Measured:
    """
    Return the copper that a vinegar-and-salt cleaner dissolved off plates: a guess of their tarnish. [g]

    Source: own estimate.

    >>> in_cleaner(10)
    Measured(0.5, 0.25, 'g')
    """
    return Measured(CLEANED_PLATE_G, CLEANED_PLATE_SD_G, "g") * plates


def on_towels(towels: int) -> Measured:
    """
    Return the copper that towels and gloves took up: a guess. [g]

    Source: own estimate.

    >>> on_towels(10)
    Measured(1.2, 0.6, 'g')
    """
    return Measured(STAINED_TOWEL_G, STAINED_TOWEL_SD_G, "g") * towels


def in_mud(wet_g: float) -> Measured:
    """
    Return the copper in wet mud and powder with the cloth they lie on. [g]

    Source: own estimate.

    >>> in_mud(100)
    Measured(30, 15.3, 'g')
    """
    return within(*MUD_COPPER_SHARES, "g") * wet_g


def _sum(name: str, unit: str, found: Sequence[tuple[Contribution, Measured | None]]) -> Figure | None:
    # one unknown part makes the whole unknown, or a drum would read as weaker than it is
    known = [(part, value) for part, value in found if value is not None]
    if not known or len(known) < len(found):
        return None
    inputs = tuple(_numbered(_told(known, unit)))
    working = Working(
        formula=Sentence("%(name)s = %(sum)s") % {"name": name, "sum": strung((each.name for each in inputs), PLUS)},
        inputs=inputs,
        source="what was written with each deposit, and what was measured since",
    )
    return Figure(value=total((value for _, value in known), unit), unit=unit, working=working)


def _told(known: Sequence[tuple[Contribution, Measured]], unit: str) -> Iterable[tuple[str, Measured]]:
    """Each part by its name, of very many the last ones, and before them what the others come to."""
    earlier, latest = (known[:-MOST_TOLD], known[-MOST_TOLD:]) if len(known) > MOST_TOLD + 1 else ([], known)
    if earlier:
        told = Sentence("what went in earlier, %(count)s in all") % {"count": len(earlier)}
        yield told, total((value for _, value in earlier), unit)
    for part, value in latest:
        yield part.told, value


def _numbered(told: Iterable[tuple[str, Measured]]) -> Iterable[Input]:
    numbered = Sentence("%(number)s. %(part)s")
    for number, (part, value) in enumerate(told, start=1):
        yield Input.measured(numbered % {"number": number, "part": part}, value)


def _per(name: str, what: str, found: Figure, amount: Figure, *, by: str, unit: str, factor: float) -> Figure:
    check_range(by, amount.value, 1e-9, 1e9, amount.unit)
    working = Working(
        formula=Sentence("%(name)s = %(factor)s × %(what)s / %(by)s")
        % {"name": name, "factor": round(factor), "what": what, "by": by},
        inputs=(Input.measured(what, found), Input.measured(by, amount)),
        source="what went in, as the deposits tell it",
    )
    return Figure(value=found.per(amount, unit) * factor, unit=unit, working=working)
