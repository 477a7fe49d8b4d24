"""
Copper gathering on a cathode: how much, how thick, how much current keeps it firm, and when it is to be stripped.

Thickness is a mean over the face: edges and lumps grow several times as thick, and the back is neglected.
"""

from collections.abc import Sequence
from math import hypot, sqrt

from chemistry.bath.figures import Span
from chemistry.copper import electrolysis
from chemistry.copper.biting import (
    COPPER_G_PER_AH,
    DENSITY_OF_COPPER,
    DENSITY_SOURCE,
    FARADAY_SOURCE,
    PER_AMPERE_HOUR,
)
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2
from chemistry.measured import HALF_WIDTH_SDS, Measured, plain, total
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.working import Figure, Input, Working, work_out

LUMPS = 20.0  # the highest lumps stand about so many times the mean thickness; own estimate, good to a factor of three
POWDER_COPPER_SHARE = 0.6  # of loose powder weighed wet, the rest is water: own estimate
POWDER_SHARE_HALF_WIDTH = 0.3
WET_METAL_SHARE = 0.9  # of solid metal weighed wet, the rest is water: own estimate
WET_METAL_HALF_WIDTH = 0.1
WIDEST_GAP_MM = 500.0
THICKEST_UM = 50_000.0
IN_BITES = Sentence("A·h in 1 bite", "A·h in %(count)s bites")
AT_THE_CATHODE = Sentence("at the cathode, of what Faraday’s law expects")


def passed(charges: Sequence[Measured]) -> Figure:
    """
    Return the charge that passed in several bites. [A·h]

    Source: the log of the bath; one meter has read them all, so its own error does not even out.

    >>> from chemistry.copper.biting import read_by_meter
    >>> figure = passed([read_by_meter(1.0, "A·h") for _ in range(16)])
    >>> print(f"{figure.value:.1f} ± {figure.half_width:.2f} {figure.unit}")
    16.0 ± 0.91 A·h
    """
    whole = total(charges, "A·h")
    working = Working(
        formula="charge = bites × mean charge",
        inputs=(
            Input(name="bites", value=len(charges), unit=""),
            Input.measured("mean charge", whole / (len(charges) or 1), "A·h in each"),
        ),
        source="the log of the bath; one meter read them all, so its own error does not even out",
    )
    return Figure(value=whole, unit="A·h", working=working)


def predicted(before: Measured, charges: Sequence[Measured], efficiency: Figure) -> Figure:
    """
    Return the copper on a cathode after some bites, by what lay on it before. [g]

    Source: Faraday's law; F from CODATA 2018, M from IUPAC standard atomic weights 2021.

    >>> bites = [Measured(4.0, unit="A·h"), Measured(6.0, unit="A·h")]
    >>> round(predicted(Measured(2.0, 0.1, "g"), bites, _firm()).value, 2)
    13.5
    """
    charge = passed(charges)
    working = Working(
        formula="copper = on it before + charge × efficiency × copper per ampere-hour",
        inputs=(
            Input.measured("on it before", before),
            Input.measured("charge", charge, IN_BITES % {"count": len(charges)}),
            Input.measured("efficiency", efficiency, AT_THE_CATHODE),
            PER_AMPERE_HOUR,
        ),
        source=FARADAY_SOURCE,
    )
    gained = charge.times(efficiency, "g") * COPPER_G_PER_AH
    return Figure(value=before + gained, unit="g", working=working)


def in_powder(wet_g: float) -> Figure:
    """
    Return the copper in loose powder that was weighed wet, as it is kept. [g]

    Source: own estimate.

    >>> figure = in_powder(10)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    6 ± 3 g
    """
    return _in_wet(Sentence("powder"), wet_g, share=POWDER_COPPER_SHARE, half_width=POWDER_SHARE_HALF_WIDTH)


def in_wet_metal(wet_g: float) -> Figure:
    """
    Return the copper in solid metal that was weighed wet. [g]

    Source: own estimate.

    >>> figure = in_wet_metal(20)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    18 ± 2 g
    """
    return _in_wet(Sentence("metal"), wet_g, share=WET_METAL_SHARE, half_width=WET_METAL_HALF_WIDTH)


def _in_wet(name: str, wet_g: float, *, share: float, half_width: float) -> Figure:
    share_of_copper = Measured(share, half_width / HALF_WIDTH_SDS)
    working = Working(
        formula=Sentence("copper = %(name)s × share of copper") % {"name": name},
        inputs=(
            Input(name=name, value=wet_g, unit="g, wet"),
            Input.measured("share of copper", share_of_copper),
        ),
        source=Sentence("share of copper in wet %(name)s: own estimate") % {"name": name},
    )
    return Figure(value=share_of_copper * wet_g, unit="g", working=working)


def thickness(deposit: Figure, *, facing_cm2: float) -> Figure:
    """
    Return how thick a deposit lies on the face of a cathode, as a mean. [µm]

    Source: density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> round(thickness(in_powder(100), facing_cm2=1000).value, 2)
    66.96
    """
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    # 1 g on 1 cm² of copper at 1 g/cm³ would lie a centimetre thick
    per_gram = 1e4 / (COPPER_G_PER_CM3 * facing_cm2)
    working = Working(
        formula="thickness = 10000 × copper / (density of copper × facing area)",
        inputs=(
            Input.measured("copper", deposit),
            DENSITY_OF_COPPER,
            Input(name="facing area", value=facing_cm2, unit="cm²"),
        ),
        source=Sentence("%(density)s; a mean: edges and lumps grow several times as thick")
        % {"density": DENSITY_SOURCE},
    )
    return Figure(value=deposit * per_gram, unit="µm", working=working)


def gap_loss(thickness: Figure, *, gap_mm: float) -> Figure:
    """
    Return how much of the gap to the plate the highest lumps have taken. [%]

    Source: height of lumps: own estimate, within a factor of three.

    >>> round(gap_loss(thickness(in_powder(100), facing_cm2=1000), gap_mm=40).value, 1)
    3.3
    """
    check_range("gap", gap_mm, 1.0, WIDEST_GAP_MM, "mm")
    per_um = 0.1 * LUMPS / gap_mm
    working = Working(
        formula="loss = 0.1 × lumps × thickness / gap",
        inputs=(
            Input(name="lumps", value=LUMPS, unit="times the mean thickness"),
            Input.measured("thickness", thickness),
            Input(name="gap", value=gap_mm, unit="mm"),
        ),
        source="height of lumps: own estimate",
        spread="within a factor of three, as the height of the lumps",
    )
    return Figure(value=thickness.value * per_um, unit="%", working=working)


def grams_at_thickness(thickness_um: float, *, facing_cm2: float) -> float:
    """
    Return the copper that lies so thick on a face, as a mean. [g]

    Source: density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> round(grams_at_thickness(25, facing_cm2=1000), 1)
    22.4
    """
    check_range("thickness", thickness_um, 0.1, THICKEST_UM, "µm")
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    return thickness_um / 1e4 * COPPER_G_PER_CM3 * facing_cm2


def grams_at_gap_loss(percent: float, *, gap_mm: float, facing_cm2: float) -> float:
    """
    Return the copper whose highest lumps take so much of the gap. [g]

    Source: height of lumps: own estimate, within a factor of three.

    >>> round(grams_at_gap_loss(10, gap_mm=40, facing_cm2=1000))
    179
    """
    check_range("share of the gap", percent, 0.1, 100.0, "%")
    check_range("gap", gap_mm, 1.0, WIDEST_GAP_MM, "mm")
    return grams_at_thickness(10 * percent * gap_mm / LUMPS, facing_cm2=facing_cm2)


def rate(charges: Sequence[Measured], *, days: float, efficiency: Figure) -> Figure:
    """
    Return how fast copper has been gathering. [g/day]

    Bites come when they come, some long and some short, so few of them tell little of the next.

    Source: Faraday's law; bites counted as a compound Poisson process.

    >>> from chemistry.copper.biting import read_by_meter
    >>> figure = rate([read_by_meter(1.0, "A·h")] * 25, days=50, efficiency=_firm())
    >>> print(f"{figure.value:.2f} ± {figure.half_width:.2f} {figure.unit}")
    0.57 ± 0.23 g/day
    """
    check_range("days", days, 0.01, 1e5)
    # a sum of so many chance bites: its variance is the sum of their squares
    by_chance = Measured(sum(charge.value for charge in charges), hypot(*(charge.value for charge in charges)), "A·h")
    working = Working(
        formula="rate = charge × efficiency × copper per ampere-hour / days",
        inputs=(
            Input.measured("charge", by_chance, IN_BITES % {"count": len(charges)}),
            Input.measured("efficiency", efficiency, AT_THE_CATHODE),
            PER_AMPERE_HOUR,
            Input(name="days", value=days, unit="days"),
        ),
        source=Sentence("%(charge)s; bites come by chance, as many and as long as in these days")
        % {"charge": FARADAY_SOURCE},
    )
    per_ah = efficiency.value * COPPER_G_PER_AH / days
    return Figure(value=by_chance * per_ah, unit="g/day", working=working)


def span_until(deposit: Figure, *, grams: float, rate: Figure, days: float) -> Span | None:
    """
    Return when so much copper has gathered, at a rate that was found over some days; None while none gathers. [days]

    The bites still to come are as uneven as those that told the rate.

    Source: as many and as long bites as lately.

    >>> from chemistry.copper.biting import read_by_meter
    >>> lately = rate([read_by_meter(1.0, "A·h")] * 25, days=50, efficiency=_firm())
    >>> span = span_until(in_powder(20), grams=22.4, rate=lately, days=50)
    >>> round(span.days), round(span.earliest), round(span.latest)
    (18, 2, 56)
    """
    if rate.value <= 0:
        return None
    # a deposit past its mark is due now, not in the past
    to_come = max(0.0, grams - deposit.value)
    bite_g = rate.sd**2 * days / rate.value
    spread_g = (Measured(to_come, sqrt(to_come * bite_g), "g") + Measured(0.0, deposit.sd, "g")).half_width
    # where even the slowest rate gathers nothing, no latest day can be told
    slower = rate.value - rate.half_width
    working = Working(
        formula="days = max(0, strip at - copper) / rate",
        inputs=(
            Input(name="strip at", value=grams, unit="g"),
            Input.measured("copper", deposit),
            Input.measured("rate", rate),
        ),
        source="as many and as long bites as lately",
    )
    return Span(
        days=to_come / rate.value,
        earliest=max(0.0, to_come - spread_g) / rate.high,
        latest=(to_come + spread_g) / slower if slower > 0 else None,
        working=working,
    )


def most_current(*, facing_cm2: float, strength_g_per_l: float) -> Figure:
    """
    Return the current to stay below for a firm deposit: a third of what a still bath can bring the cathode. [A]

    A bath stronger than the tables counts as their strongest.

    Source: free convection at a vertical cathode, from memory; a third of it is common practice, no source.

    >>> round(most_current(facing_cm2=1000, strength_g_per_l=150).value, 1)
    18.3
    """
    check_range("facing area", facing_cm2, 0.01, LARGEST_CM2, "cm²")
    # a dried-out bath would otherwise have no advice at all
    strength_g_per_l = min(strength_g_per_l, electrolysis.STRONGEST_G_PER_L)
    limit = work_out(electrolysis.cathode_limit_a_per_dm2, strength_g_per_l=strength_g_per_l)
    working = Working(
        formula="current = share × limit × facing area / 100",
        inputs=(
            Input(name="share", value=electrolysis.ADVISED_SHARE_OF_LIMIT, unit="of the limit"),
            Input(
                name="limit",
                value=limit.value,
                unit=Sentence("A/dm² at %(strength)s g/L") % {"strength": plain(strength_g_per_l, 0)},
            ),
            Input(name="facing area", value=facing_cm2, unit="cm²"),
        ),
        source=Sentence("limit: %(source)s; a third of it is common practice, no source")
        % {"source": limit.working.source},
        spread=limit.working.spread,
    )
    value = electrolysis.ADVISED_SHARE_OF_LIMIT * limit.value * facing_cm2 / 100
    return Figure(value=value, unit="A", working=working)


def _firm() -> Figure:
    """The efficiency of this module's doctests."""
    return Figure(value=0.97, unit="", working=Working(formula="", inputs=(), source="definition"))
