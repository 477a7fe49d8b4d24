"""Sheet copper: what a piece should weigh, and what its weight says of its gauge."""

from chemistry.copper.electrolysis import COPPER_G_PER_CM3
from chemistry.copper.gauges import FINEST_GAUGE, bs_um, swg_um
from chemistry.measured import plain
from chemistry.quantity import quantity
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.units import show
from chemistry.working import Figure, Input, Working

LARGEST_CM2 = 100_000.0
THICKEST_UM = 20_000.0
AGREES = 0.06  # rolled sheet and a ruler together: common practice, no source
NAMED = 0.04  # how near a thickness lies to the gauge it is called by: common practice, no source


def mass(*, area_cm2: float, thickness_um: float) -> Figure:
    """
    What a piece of sheet copper should weigh. [g]

    m = A d ρ; a plate's bevel and the polish are ignored.

    area_cm2: of one side. [cm²]
    thickness_um: of the bare sheet. [µm]

    Source: density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> round(mass(area_cm2=100, thickness_um=1000).value, 1)
    89.6
    """
    check_range("area", area_cm2, 0, LARGEST_CM2, "cm²")
    check_range("thickness", thickness_um, 1, THICKEST_UM, "µm")
    working = Working(
        formula="mass = area × thickness / 10000 × density",
        inputs=(
            Input(name="area", value=area_cm2, unit="cm²"),
            Input(name="thickness", value=thickness_um, unit="µm"),
            Input(name="density", value=COPPER_G_PER_CM3, unit="g/cm³"),
        ),
        source="density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021",
        spread=Sentence("sheet and ruler together: within %(percent)s %%, common practice, no source")
        % {"percent": plain(AGREES * 100, 0)},
    )
    return Figure(value=area_cm2 * thickness_um / 10_000 * COPPER_G_PER_CM3, unit="g", working=working)


def verdict(weighed_g: float, *, area_cm2: float, thickness_um: float) -> tuple[bool, str]:
    """
    Tell whether the scale agrees with size and thickness, and in words what it says of them. [-]

    Source: sheet and ruler together agree within 6 %, common practice, no source.

    >>> verdict(1130, area_cm2=600, thickness_um=1291)[0]
    False
    >>> verdict(694, area_cm2=600, thickness_um=1626)[1]
    'It weighs like B&S 16 (1.29 mm), and the book has SWG 16 (1.63 mm): the two gauge systems are mixed up.'
    """
    check_range("weighed mass", weighed_g, 0.1, 1_000_000, "g")
    expected = mass(area_cm2=area_cm2, thickness_um=thickness_um).value
    seems_um = thickness_um * weighed_g / expected
    if abs(weighed_g / expected - 1) <= AGREES:
        return True, Sentence("The scale agrees: %(expected)s expected, %(weighed)s weighed.") % {
            "expected": quantity(expected, "g", decimals=0),
            "weighed": quantity(weighed_g, "g"),
        }
    return False, _mixed_up(seems_um, thickness_um) or (
        Sentence(
            "It weighs like a sheet of %(weighed)s, and the book has %(booked)s: "
            "look again at the size, and measure an edge with a calliper."
        )
        % {"weighed": _mm(seems_um), "booked": _mm(thickness_um)}
    )


def _mixed_up(seems_um: float, booked_um: float) -> str | None:
    """The nearest gauge whose number means the booked thickness in one system and the weighed one in the other."""
    found = []
    for number in range(FINEST_GAUGE + 1):
        named = (("B&S", bs_um(number)), ("SWG", swg_um(number)))
        for (this, weighed_um), (other, called_um) in (named, named[::-1]):
            off = max(abs(seems_um / weighed_um - 1), abs(booked_um / called_um - 1))
            if off <= NAMED and abs(called_um / weighed_um - 1) > AGREES:
                found.append((off, f"{this} {number} ({_mm(weighed_um)})", f"{other} {number} ({_mm(called_um)})"))
    if not found:
        return None
    _, weighs, booked = min(found)
    return Sentence("It weighs like %(weighed)s, and the book has %(booked)s: the two gauge systems are mixed up.") % {
        "weighed": weighs,
        "booked": booked,
    }


def _mm(um: float) -> str:
    return show(round(um), "thickness", "mm")
