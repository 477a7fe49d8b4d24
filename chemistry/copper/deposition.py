"""
Copper gathering on a cathode: how much, how thick, how much current keeps it firm, and when it is to be stripped.

Thickness is a mean over the face: edges and lumps grow several times as thick, and the back is neglected.
"""

from collections.abc import Iterable, Sequence
from math import hypot, sqrt
from typing import NamedTuple

from chemistry.bath.figures import Span
from chemistry.copper import electrolysis
from chemistry.copper.biting import COPPER_G_PER_AH, DENSITY_SOURCE, FARADAY_SOURCE, METER_SD_SHARE, WANDER_SD_SHARE
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2
from chemistry.ranges import check_range
from chemistry.working import HALF_WIDTH_SDS, Figure, Input, Working, work_out

LUMPS = 20.0  # the highest lumps stand about so many times the mean thickness; own estimate, good to a factor of three
POWDER_COPPER_SHARE = 0.6  # of loose powder weighed wet, the rest is water: own estimate
POWDER_SHARE_HALF_WIDTH = 0.3
WET_METAL_SHARE = 0.9  # of solid metal weighed wet, the rest is water: own estimate
WET_METAL_HALF_WIDTH = 0.1
WIDEST_GAP_MM = 500.0
THICKEST_UM = 50_000.0


class Charge(NamedTuple):
    """What passed in one bite. [A·h]"""

    ah: float
    sd_ah: float

    @classmethod
    def read_once(cls, ah: float) -> "Charge":
        """The charge of a bite whose current was looked at once."""
        return cls(ah, ah * hypot(METER_SD_SHARE, WANDER_SD_SHARE))


def passed(charges: Sequence[Charge]) -> Figure:
    """
    Return the charge that passed in several bites. [A·h]

    One meter has read them all, so its own error does not even out; everything else does.

    >>> figure = passed([Charge.read_once(1.0)] * 16)
    >>> print(f"{figure.value:.1f} ± {figure.half_width:.2f} {figure.unit}")
    16.0 ± 0.91 A·h
    """
    total = sum(charge.ah for charge in charges)
    of_the_meter = METER_SD_SHARE * total
    of_each = sum(max(0.0, charge.sd_ah**2 - (METER_SD_SHARE * charge.ah) ** 2) for charge in charges)
    sd = sqrt(of_the_meter**2 + of_each)
    bites = len(charges) or 1
    working = Working(
        formula="charge = bites × mean charge",
        inputs=(
            Input(name="bites", value=len(charges), unit=""),
            Input(name="mean charge", value=total / bites, unit="A·h in each", sd=sd / bites),
        ),
        source="the log of the bath; one meter read them all, so its own error does not even out",
    )
    return Figure(value=total, unit="A·h", working=working, sd=sd)


def predicted(*, before_g: float, before_sd_g: float, charges: Sequence[Charge], efficiency: Figure) -> Figure:
    """
    Return the copper on a cathode after some bites, by what lay on it before. [g]

    >>> bites = [Charge(4.0, 0.0), Charge(6.0, 0.0)]
    >>> round(predicted(before_g=2.0, before_sd_g=0.1, charges=bites, efficiency=_firm()).value, 2)
    13.5
    """
    charge = passed(charges)
    gained = charge.value * efficiency.value * COPPER_G_PER_AH
    working = Working(
        formula="copper = on it before + charge × efficiency × copper per ampere-hour",
        inputs=(
            Input(name="on it before", value=before_g, unit="g", sd=before_sd_g),
            Input(name="charge", value=charge.value, unit=f"A·h in {_bites(len(charges))}", sd=charge.sd),
            Input(name="efficiency", value=efficiency.value, unit="", sd=efficiency.sd),
            Input(name="copper per ampere-hour", value=COPPER_G_PER_AH, unit="g/A·h"),
        ),
        source=FARADAY_SOURCE,
    )
    by_charge = efficiency.value * COPPER_G_PER_AH * (charge.sd or 0.0)
    by_efficiency = charge.value * COPPER_G_PER_AH * (efficiency.sd or 0.0)
    sd = hypot(before_sd_g, by_charge, by_efficiency)
    return Figure(value=before_g + gained, unit="g", working=working, sd=sd)


def in_powder(wet_g: float) -> Figure:
    """
    Return the copper in loose powder that was weighed wet, as it is kept. [g]

    >>> figure = in_powder(10)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    6 ± 3 g
    """
    return _in_wet("powder", wet_g, share=POWDER_COPPER_SHARE, half_width=POWDER_SHARE_HALF_WIDTH)


def in_wet_metal(wet_g: float) -> Figure:
    """
    Return the copper in solid metal that was weighed wet. [g]

    >>> figure = in_wet_metal(20)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    18 ± 2 g
    """
    return _in_wet("metal", wet_g, share=WET_METAL_SHARE, half_width=WET_METAL_HALF_WIDTH)


def _in_wet(name: str, wet_g: float, *, share: float, half_width: float) -> Figure:
    sd = half_width / HALF_WIDTH_SDS
    working = Working(
        formula=f"copper = {name} × share of copper",
        inputs=(
            Input(name=name, value=wet_g, unit="g, wet"),
            Input(name="share of copper", value=share, unit="", sd=sd),
        ),
        source=f"share of copper in wet {name}: own estimate",
    )
    return Figure(value=share * wet_g, unit="g", working=working, sd=sd * wet_g)


def as_one_scale(half_widths_g: Iterable[float]) -> float:
    """
    Return the half width of a scale that, read twice, is as far off as all these readings together. [g]

    >>> round(as_one_scale([1.0, 1.0]), 3), round(as_one_scale([1.0, 0.1]), 3)
    (1.0, 0.711)
    """
    return hypot(*half_widths_g) / sqrt(2)


def thickness(deposit: Figure, *, facing_cm2: float) -> Figure:
    """
    Return how thick a deposit lies on the face of a cathode, as a mean. [µm]

    >>> round(thickness(in_powder(100), facing_cm2=1000).value, 2)
    66.96
    """
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    per_gram = 1e4 / (COPPER_G_PER_CM3 * facing_cm2)
    working = Working(
        formula="thickness = 10000 × copper / (density of copper × facing area)",
        inputs=(
            Input(name="copper", value=deposit.value, unit="g", sd=deposit.sd),
            Input(name="density of copper", value=COPPER_G_PER_CM3, unit="g/cm³"),
            Input(name="facing area", value=facing_cm2, unit="cm²"),
        ),
        source=f"{DENSITY_SOURCE}; a mean: edges and lumps grow several times as thick",
    )
    return Figure(value=deposit.value * per_gram, unit="µm", working=working, sd=(deposit.sd or 0.0) * per_gram)


def gap_loss(thickness: Figure, *, gap_mm: float) -> Figure:
    """
    Return how much of the gap to the plate the highest lumps have taken. [%]

    >>> round(gap_loss(thickness(in_powder(100), facing_cm2=1000), gap_mm=40).value, 1)
    3.3
    """
    check_range("gap", gap_mm, 1.0, WIDEST_GAP_MM, "mm")
    per_um = 0.1 * LUMPS / gap_mm
    working = Working(
        formula="loss = 0.1 × lumps × thickness / gap",
        inputs=(
            Input(name="lumps", value=LUMPS, unit="times the mean thickness"),
            Input(name="thickness", value=thickness.value, unit="µm", sd=thickness.sd),
            Input(name="gap", value=gap_mm, unit="mm"),
        ),
        source="height of lumps: own estimate",
        spread="within a factor of three, as the height of the lumps",
    )
    return Figure(value=thickness.value * per_um, unit="%", working=working)


def grams_at_thickness(thickness_um: float, *, facing_cm2: float) -> float:
    """
    Return the copper that lies so thick on a face, as a mean. [g]

    >>> round(grams_at_thickness(25, facing_cm2=1000), 1)
    22.4
    """
    check_range("thickness", thickness_um, 0.1, THICKEST_UM, "µm")
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    return thickness_um / 1e4 * COPPER_G_PER_CM3 * facing_cm2


def grams_at_gap_loss(percent: float, *, gap_mm: float, facing_cm2: float) -> float:
    """
    Return the copper whose highest lumps take so much of the gap. [g]

    >>> round(grams_at_gap_loss(10, gap_mm=40, facing_cm2=1000))
    179
    """
    check_range("share of the gap", percent, 0.1, 100.0, "%")
    check_range("gap", gap_mm, 1.0, WIDEST_GAP_MM, "mm")
    return grams_at_thickness(10 * percent * gap_mm / LUMPS, facing_cm2=facing_cm2)


def rate(charges: Sequence[Charge], *, days: float, efficiency: Figure) -> Figure:
    """
    Return how fast copper has been gathering. [g/day]

    Bites come when they come, some long and some short, so few of them tell little of the next.

    >>> figure = rate([Charge.read_once(1.0)] * 25, days=50, efficiency=_firm())
    >>> print(f"{figure.value:.2f} ± {figure.half_width:.2f} {figure.unit}")
    0.57 ± 0.23 g/day
    """
    check_range("days", days, 0.01, 1e5)
    charge_ah = sum(charge.ah for charge in charges)
    # a sum of so many chance bites: its variance is the sum of their squares
    sd_ah = sqrt(sum(charge.ah**2 for charge in charges))
    per_ah = efficiency.value * COPPER_G_PER_AH / days
    working = Working(
        formula="rate = charge × efficiency × copper per ampere-hour / days",
        inputs=(
            Input(name="charge", value=charge_ah, unit=f"A·h in {_bites(len(charges))}", sd=sd_ah),
            Input(name="efficiency", value=efficiency.value, unit="", sd=efficiency.sd),
            Input(name="copper per ampere-hour", value=COPPER_G_PER_AH, unit="g/A·h"),
            Input(name="days", value=days, unit="days"),
        ),
        source=f"{FARADAY_SOURCE}; bites come by chance, as many and as long as in these days",
    )
    return Figure(value=charge_ah * per_ah, unit="g/day", working=working, sd=sd_ah * per_ah)


def span_until(deposit: Figure, *, grams: float, rate: Figure, days: float) -> Span | None:
    """
    Return the days until so much copper has gathered, at a rate that was found over some days; None while none gathers.

    The bites still to come are as uneven as those that told the rate.

    >>> lately = rate([Charge.read_once(1.0)] * 25, days=50, efficiency=_firm())
    >>> span = span_until(in_powder(20), grams=22.4, rate=lately, days=50)
    >>> round(span.days), round(span.earliest), round(span.latest)
    (18, 2, 56)
    """
    if rate.value <= 0:
        return None
    to_come, sd = max(0.0, grams - deposit.value), rate.sd or 0.0
    bite_g = sd * sd * days / rate.value
    spread_g = HALF_WIDTH_SDS * sqrt(to_come * bite_g + (deposit.sd or 0.0) ** 2)
    faster, slower = rate.value + HALF_WIDTH_SDS * sd, rate.value - HALF_WIDTH_SDS * sd
    working = Working(
        formula="days = max(0, strip at - copper) / rate",
        inputs=(
            Input(name="strip at", value=grams, unit="g"),
            Input(name="copper", value=deposit.value, unit="g", sd=deposit.sd),
            Input(name="rate", value=rate.value, unit="g/day", sd=rate.sd),
        ),
        source="as many and as long bites as lately",
    )
    return Span(
        days=to_come / rate.value,
        earliest=max(0.0, to_come - spread_g) / faster,
        latest=(to_come + spread_g) / slower if slower > 0 else None,
        working=working,
    )


def most_current(*, facing_cm2: float, strength_g_per_l: float) -> Figure:
    """
    Return the current to stay below for a firm deposit: a third of what a still bath can bring the cathode. [A]

    A bath stronger than the tables counts as their strongest.

    >>> round(most_current(facing_cm2=1000, strength_g_per_l=150).value, 1)
    18.3
    """
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    strength_g_per_l = min(strength_g_per_l, electrolysis.STRONGEST_G_PER_L)
    limit = work_out(electrolysis.cathode_limit_a_per_dm2, strength_g_per_l=strength_g_per_l)
    working = Working(
        formula="current = share × limit × facing area / 100",
        inputs=(
            Input(name="share", value=electrolysis.ADVISED_SHARE_OF_LIMIT, unit="of the limit"),
            Input(name="limit", value=limit.value, unit=f"A/dm² at {strength_g_per_l:.0f} g/L"),
            Input(name="facing area", value=facing_cm2, unit="cm²"),
        ),
        source=f"limit: {limit.working.source}; a third of it is common practice, no source",
        spread=limit.working.spread,
    )
    value = electrolysis.ADVISED_SHARE_OF_LIMIT * limit.value * facing_cm2 / 100
    return Figure(value=value, unit="A", working=working)


def _bites(count: int) -> str:
    return "1 bite" if count == 1 else f"{count} bites"


def _firm() -> Figure:
    """The efficiency of this module's doctests."""
    return Figure(value=0.97, unit="", working=Working(formula="", inputs=(), source="definition"), sd=0.0)
