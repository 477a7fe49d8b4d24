"""A figure of the sums with its unit, as the studio reads it: converted here, once, and nowhere before."""

from collections.abc import Iterable, Mapping
from functools import cache

from chemistry import locale, units
from chemistry.locale import Locale
from chemistry.measured import digits, plain
from chemistry.sentences import Sentence

G_PER_LB, CM_PER_IN = 453.59237, 2.54  # exact, NIST Handbook 44, Appendix C
OZ_PER_LB, IN_PER_FT = 16, 12
UM_PER_MIL = 25.4
MOST_CONVERTED = 4  # digits that what was measured in another unit can bear

Ladder = tuple[tuple[str, float], ...]
"""Units from the largest down, each with how many of the sum's unit make one."""


def ladder(dimension: str, unit: str, *names: str) -> Ladder:
    """
    Units of a dimension, each with how many of the sum's unit it is.

    >>> ladder("mass", "kg", "lb", "oz")
    (('lb', 0.45359237), ('oz', 0.028349523125))
    """
    sizes = units.base_units_in_each()
    return tuple((name.replace("2", "²"), float(sizes[dimension, name] / sizes[dimension, unit])) for name in names)


def g_per_l_in(content: str) -> float:
    """
    Return how many grams in a litre one of such a content is. [g/L]

    Source: definitions, by way of `units`.

    >>> round(g_per_l_in("oz/gal"), 3), round(g_per_l_in("oz/imp gal"), 3)
    (7.489, 6.236)
    """
    mass, _, volume = content.partition("/")
    [(_mass, grams)], [(_volume, litres)] = ladder("mass", "g", mass), ladder("volume", "L", volume)
    return grams / litres


@cache
def ladders(here: Locale) -> Mapping[str, Ladder]:
    """
    The units that a studio reads each unit of the sums in; one that is not there is read as it is.

    Copper in water stays in mg/L: so sewers' limits, 40 CFR 433 and laboratories tell it in the United States too, and
    a test strip's ppm is as much only of thin water.

    >>> [unit for unit, _ in ladders(Locale(volume="gal"))["mL"]]
    ['gal', 'qt', 'fl oz']
    """
    with locale.override(here):
        has = units.is_customary
        found: dict[str, Ladder] = {}
        if has("volume"):
            steps = units.LARGEST_FIRST[units.own("L")]
            found |= {unit: ladder("volume", unit, *steps) for unit in ("L", "mL")}
        if has("mass"):
            found |= {unit: ladder("mass", unit, *units.LARGEST_FIRST["lb"]) for unit in ("g", "kg", "mg")}
        if has("content"):
            heavy = f"lb/{found['L'][0][0]}"
            found |= {"g/mL": ((heavy, g_per_l_in(heavy) / 1000),)}
            found |= {"g/L": tuple((name, g_per_l_in(name)) for name in units.in_customary("g/L"))}
        if has("length"):
            found |= {"cm": ladder("length", "cm", "in"), "mm": ladder("length", "mm", "in")}
            found |= {"m": ladder("length", "m", "ft", "in")}
        if has("area"):
            found |= {
                "cm²": ladder("area", "cm2", "in2"),
                "mm²": ladder("area", "mm2", "in2"),
                "m²": ladder("area", "m2", "ft2"),
                "A/dm²": (("A/ft²", 100 / (CM_PER_IN * IN_PER_FT) ** 2),),
            }
    if here.depth_unit == "mil":
        found |= {"µm": (("mil", UM_PER_MIL),)}
    return found


def read_in(unit: str, largest: float) -> tuple[str, float]:
    """
    The unit in which this studio reads so much of a sum's unit, and how many of the sum's make one.

    >>> with locale.override(Locale(volume="gal")):
    ...     read_in("L", 20), read_in("L", 0.5)[0], read_in("A", 2)
    (('gal', 3.785411784), 'fl oz', ('A', 1.0))
    """
    steps = ladders(locale.current()).get(unit)
    if not steps:
        return unit, 1.0
    # so that a pound is a pound and not 16 oz, whatever floats lose
    return next((step for step in steps if abs(largest) >= step[1] * (1 - 1e-9)), steps[-1])


MEASURED = frozenset(("L", "mL", "g", "kg", "mg", "g/L", "g/mL", "cm", "mm", "m", "cm²", "µm", "°C"))
"""The units of the sums that some studio reads another one for."""


def typed_in(unit: str) -> tuple[str, float]:
    """
    The unit in which a number is asked for that a sum takes in another, and how many of the sum's make one.

    >>> with locale.override(Locale(volume="gal", mass="lb")):
    ...     typed_in("mL")[0], typed_in("kg")[0], typed_in("A")
    ('fl oz', 'lb', ('A', 1.0))
    """
    steps = ladders(locale.current()).get(unit, ((unit, 1.0),))
    return steps[0] if unit in ("kg", "m") else steps[-1]


def fahrenheit(celsius: float) -> float:
    """
    Return a temperature in °C in degrees Fahrenheit. [°F]

    Source: definition, NIST Handbook 44, Appendix C.

    >>> fahrenheit(20)
    68.0
    """
    return celsius * 9 / 5 + 32


def quantity(value: float, unit: str, most: int = 6, *, decimals: int | None = None) -> str:
    """
    A figure to so many digits that count, or to so many decimals in the unit of the sum.

    >>> quantity(2.5, "L"), quantity(1234.5, "g", decimals=0)
    ('2.5 L', '1234 g')
    >>> with locale.override(Locale(volume="gal", mass="lb", temperature_unit="°F", length="in")):
    ...     quantity(20, "L"), quantity(250, "g"), quantity(20, "°C"), quantity(300, "mm")
    ('5.283 gal', '8.818 oz', '68 °F', '11.81 in')
    """
    if unit == "°C" and locale.current().temperature_unit == "°F":
        return f"{digits(fahrenheit(value), 3)} °F"
    name, size = read_in(unit, value)
    if name != unit:
        return f"{digits(value / size, min(most, MOST_CONVERTED))} {name}"
    return f"{digits(value, most) if decimals is None else plain(value, decimals)} {unit}"


def read_as(value: float, unit: str) -> str:
    """
    A figure of the sums as this studio reads it, where that is in another unit; else nothing.

    unit: what more it says, as "g of blue crystals", is left out.

    >>> read_as(20, "L")
    ''
    >>> with locale.override(Locale(volume="gal", temperature_unit="°F")):
    ...     read_as(20, "L of rinse"), read_as(20, "°C"), read_as(2, "A")
    ('5.283 gal', '68 °F', '')
    """
    name = unit.partition(" ")[0].rstrip(",")
    told = quantity(value, name)
    return "" if told.endswith(f" {name}") else told


def span(ends: Iterable[float], unit: str, most: int = 6, *, decimals: int | None = None) -> str:
    """
    A range from its low end to its high end, both in the unit of the higher.

    >>> str(span([250, 326], "g")), str(span([3, 3], "L"))
    ('250 to 326 g', '3 L')
    >>> with locale.override(Locale(mass="lb")):
    ...     str(span([250, 600], "g"))
    '0.5512 to 1.323 lb'
    """
    low, high = min(ends := [*ends]), max(ends)
    if unit == "°C" and locale.current().temperature_unit == "°F":
        low, high, unit = fahrenheit(low), fahrenheit(high), "°F"
    if low == high:
        return quantity(low, unit, most, decimals=decimals)
    name, size = read_in(unit, high)
    if name == unit and decimals is not None:
        shown = [plain(end, decimals) for end in (low, high)]
    else:
        shown = [digits(end / size, most if name == unit else min(most, MOST_CONVERTED)) for end in (low, high)]
    return Sentence("%(low)s to %(high)s %(unit)s") % {"low": shown[0], "high": shown[1], "unit": name}


def sides(*sides_mm: float) -> str:
    """
    The sides of a plate or a sheet; of inches, to the tenth that rulers have.

    >>> sides(152, 203)
    '152 × 203 mm'
    >>> with locale.override(Locale(length="in")):
    ...     sides(152, 203)
    '6 × 8 in'
    """
    name, size = read_in("mm", max(sides_mm))
    shown = [digits(side) if name == "mm" else digits(round(side / size, 1)) for side in sides_mm]
    return f"{' × '.join(shown)} {name}"
