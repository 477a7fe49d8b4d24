"""A figure of the sums with its unit, as the studio reads it: converted here, once, and nowhere before."""

from collections.abc import Iterable, Mapping
from functools import cache

from chemistry import locale
from chemistry.locale import Locale
from chemistry.measured import digits, plain
from chemistry.sentences import Sentence

L_PER_GAL, G_PER_LB, CM_PER_IN = 3.785411784, 453.59237, 2.54  # exact, NIST Handbook 44, Appendix C
QT_PER_GAL, OZ_PER_GAL, OZ_PER_LB, IN_PER_FT = 4, 128, 16, 12
UM_PER_MIL = 25.4
MOST_CONVERTED = 4  # digits that what was measured in another unit can bear

Ladder = tuple[tuple[str, float], ...]
"""Units from the largest down, each with how many of the sum's unit make one."""


def ladder(largest: Ladder, *, times: float) -> Ladder:
    """
    The same where the sum counts in a unit so many times smaller.

    >>> ladder((("lb", 453.59237),), times=1000)
    (('lb', 453592.37),)
    """
    return tuple((unit, size * times) for unit, size in largest)


GALLONS: Ladder = (
    *(("gal", L_PER_GAL), ("qt", L_PER_GAL / QT_PER_GAL)),
    ("fl oz", L_PER_GAL / OZ_PER_GAL),
)
POUNDS: Ladder = (("lb", G_PER_LB), ("oz", G_PER_LB / OZ_PER_LB))
INCHES: Ladder = (("in", CM_PER_IN),)
FEET: Ladder = (("ft", CM_PER_IN * IN_PER_FT), *INCHES)


@cache
def ladders(here: Locale) -> Mapping[str, Ladder]:
    """
    The units that a studio reads each unit of the sums in; one that is not there is read as it is.

    Of water, limits are told in mg/L by the law of every region.

    >>> [unit for unit, _ in ladders(Locale(volume="gal"))["mL"]]
    ['gal', 'qt', 'fl oz']
    """
    found: dict[str, Ladder] = {}
    if here.volume == "gal":
        found |= {"L": GALLONS, "mL": ladder(GALLONS, times=1000)}
    if here.mass == "lb":
        found |= {"g": POUNDS, "kg": ladder(POUNDS, times=0.001), "mg": ladder(POUNDS, times=1000)}
    if here.volume == "gal" and here.mass == "lb":
        ounces = G_PER_LB / OZ_PER_LB / L_PER_GAL
        found |= {"g/L": (("oz/gal", ounces),), "g/mL": (("lb/gal", G_PER_LB / L_PER_GAL / 1000),)}
    if here.length == "in":
        found |= {"cm": INCHES, "mm": ladder(INCHES, times=10), "m": ladder(FEET, times=0.01)}
    if here.area == "in²":
        found |= {
            "cm²": (("in²", CM_PER_IN**2),),
            "mm²": (("in²", 100 * CM_PER_IN**2),),
            "m²": (("ft²", (CM_PER_IN * IN_PER_FT / 100) ** 2),),
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
