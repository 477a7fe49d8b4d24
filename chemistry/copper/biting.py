"""
What one bite did, and how long the next one takes: charge, copper, depth and minutes, each with its spread.

Depth is a mean over the exposed area. Narrow lines bite deeper than wide ones, and undercutting is neglected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import sqrt

from chemistry.copper import electrolysis
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2, MOST_CURRENT_A
from chemistry.measured import Measured, digits, total
from chemistry.ranges import check_range
from chemistry.sentences import PLUS, Sentence, strung
from chemistry.solution import sulfate
from chemistry.working import Figure, Input, Working

COPPER_G_PER_AH = electrolysis.copper_moved_g(charge_ah=1.0)
FARADAY_SOURCE = Sentence("Faraday’s law; F from CODATA 2018, M from IUPAC standard atomic weights 2021")
DENSITY_SOURCE = Sentence("density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021")

METER_SD_SHARE = 0.015  # the display of a bench supply is good to 3 %: common practice, no source
WANDER_SD_SHARE = 0.1  # how far a current wanders while nobody looks; each look halves, thirds ... it: own estimate
WATCH_SD_MIN = 0.1  # a switch and a clock: own estimate
ABOUT_SD_MIN = 2.0  # "stopped about": own estimate
LONGEST_MIN = 10_000.0

METER = "meter"  # one supply's display reads a little high or low all the time: a studio is taken to have one
DRIPS = "drips"  # one studio lifts its plates out in one way, so the guess of what drips off is wrong for all alike

Reading = tuple[float, float]
AT_THE_PLATE = Sentence("at the plate, of what Faraday’s law expects")
PER_AMPERE_HOUR = Input(name="copper per ampere-hour", value=COPPER_G_PER_AH, unit="g/A·h")
DENSITY_OF_COPPER = Input(name="density of copper", value=COPPER_G_PER_CM3, unit="g/cm³")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Minutes of a bite in which the supply was off, as in a power cut."""

    begins_min: float
    ends_min: float

    def __post_init__(self) -> None:
        if not 0 <= self.begins_min < self.ends_min:
            raise ValueError(
                f"current cannot go at {digits(self.begins_min)} min and be back at {digits(self.ends_min)} min"
            )


def profile(readings: Sequence[Reading], *, minutes: float, gap: Gap | None = None) -> list[Reading]:
    """
    Return the readings of the ammeter completed to the whole bite, from its start to its stop. [min, A]

    The first reading holds back to the start and the last one on to the stop; in a gap the current is nought. A
    reading taken in a gap is one of nought already, and left out.

    Source: definition; what was not read is taken to be as it was read next to it.

    >>> profile([(5, 1.2), (20, 1.0)], minutes=30)
    [(0.0, 1.2), (5, 1.2), (20, 1.0), (30, 1.0)]
    """
    check_range("minutes", minutes, 0.0, LONGEST_MIN, "min")
    # a reading after the stop belongs to a bite that was corrected to a shorter one
    taken = sorted(reading for reading in readings if reading[0] <= minutes)
    if not taken:
        raise ValueError("a charge needs at least one reading of the current")
    whole = [(0.0, taken[0][1]), *taken, (minutes, taken[-1][1])]
    return whole if gap is None else _interrupted(whole, gap)


def _interrupted(whole: Sequence[Reading], gap: Gap) -> list[Reading]:
    stop = whole[-1][0]
    begins, ends = min(gap.begins_min, stop), min(gap.ends_min, stop)
    before = [reading for reading in whole if reading[0] < begins]
    after = [reading for reading in whole if reading[0] > ends]
    # the current stands on both sides of each edge, or the trapezoids would slope through the gap
    edges = [(begins, _current_at(whole, begins)), (begins, 0.0), (ends, 0.0), (ends, _current_at(whole, ends))]
    return [*before, *edges, *after]


def _current_at(whole: Sequence[Reading], minute: float) -> float:
    for (earlier, before), (later, after) in pairwise(whole):
        if earlier <= minute <= later and later > earlier:
            return before + (after - before) * (minute - earlier) / (later - earlier)
    return whole[-1][1]


def charge(
    readings: Sequence[Reading], *, minutes: float, minutes_sd: float = WATCH_SD_MIN, gap: Gap | None = None
) -> Figure:
    """
    Return the charge that passed in a bite. [A·h]

    Source: area under the readings by the trapezoidal rule.

    >>> figure = charge([(1, 1.3), (15, 1.1)], minutes=30)
    >>> print(f"{figure.value:.3f} ± {figure.half_width:.3f} {figure.unit}")
    0.577 ± 0.059 A·h
    """
    charge_ah = electrolysis.charge_ah(profile(readings, minutes=minutes, gap=gap))
    average = read_by_meter(60 * charge_ah / minutes if minutes else 0.0, "A", looks=len(readings))
    time = Measured(minutes, minutes_sd, "min")
    amps = Sentence("A, read once", "A, from %(count)s readings") % {"count": len(readings)}
    working = Working(
        formula="charge = average current × minutes / 60",
        inputs=(Input.measured("average current", average, amps), Input.measured("minutes", time)),
        source="area under the readings by the trapezoidal rule; first and last reading held to start and stop",
    )
    return Figure(value=average.times(time, "A·h") / 60, unit="A·h", working=working)


def read_by_meter(value: float, unit: str, *, looks: int = 1, sd: float | None = None) -> Measured:
    """
    Return a current or a charge as a meter had it, looked at so many times. [unit]

    sd: all of its spread, where it was worked out before; what is not the meter's own error in it evens out.

    Source: common practice for the meter, own estimate of how currents wander.

    >>> read_by_meter(1.0, "A·h"), total([read_by_meter(1.0, "A·h")] * 16, "A·h")
    (Measured(1, 0.101, 'A·h'), Measured(16, 1.62, 'A·h'))
    >>> total([read_by_meter(1.0, "A·h") for _ in range(16)], "A·h")
    Measured(16, 0.466, 'A·h')
    """
    by_meter = METER_SD_SHARE * value
    # what was worked out before holds the error of the meter already
    wander = WANDER_SD_SHARE * value / looks if sd is None else sqrt(max(0.0, sd**2 - by_meter**2))
    return Measured(value, by_meter, unit, error=METER) + Measured(0.0, wander, unit)


def counted_charge(charge_ah: float) -> Figure:
    """
    Return a charge as the supply itself counted it. [A·h]

    Source: the supply’s own display, good to 3 %: common practice, no source.

    >>> print(f"{counted_charge(0.6).half_width:.3f}")
    0.018
    """
    by_meter = read_by_meter(charge_ah, "A·h", sd=METER_SD_SHARE * charge_ah)
    return _known_charge(by_meter, "the supply’s own display")


def kept_charge(charge_ah: float, charge_sd_ah: float) -> Figure:
    """
    Return the charge of a bite as it was worked out when it was stopped. [A·h]

    Source: readings of the bite.

    >>> kept_charge(0.6, 0.02).sd
    0.02
    """
    kept = read_by_meter(charge_ah, "A·h", sd=charge_sd_ah)
    return _known_charge(kept, "readings of the bite, worked out when it was stopped")


def _known_charge(charge: Measured, source: str) -> Figure:
    check_range("charge", charge.value, 0.0, electrolysis.MOST_CHARGE_AH, "A·h")
    working = Working(formula="charge = known", inputs=(Input.measured("known", charge),), source=source)
    return Figure(value=charge, unit="A·h", working=working)


def copper(charge: Figure, efficiency: Figure) -> Figure:
    """
    Return the copper that a charge moves. [g]

    Source: Faraday’s law; F from CODATA 2018, M from IUPAC standard atomic weights 2021.

    >>> round(copper(counted_charge(2), _perfect()).value, 3)
    2.371
    """
    working = Working(
        formula="copper = charge × efficiency × copper per ampere-hour",
        inputs=(
            Input.measured("charge", charge),
            Input.measured("efficiency", efficiency, AT_THE_PLATE),
            PER_AMPERE_HOUR,
        ),
        source=FARADAY_SOURCE,
    )
    return Figure(value=charge.times(efficiency, "g") * COPPER_G_PER_AH, unit="g", working=working)


def depth(charge: Figure, efficiency: Figure, *, exposed: Measured) -> Figure:
    """
    Return how deep a bite went on average over the copper that was exposed. [µm]

    Source: Faraday's law; density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> round(depth(counted_charge(2.25), _perfect(), exposed=Measured(150, 15, "cm²")).value, 2)
    19.85
    """
    check_range("exposed area", exposed.value, 0.01, LARGEST_CM2, "cm²")
    working = Working(
        formula=("depth = 10000 × charge × efficiency × copper per ampere-hour / (density of copper × exposed area)"),
        inputs=(
            Input.measured("charge", charge),
            Input.measured("efficiency", efficiency, AT_THE_PLATE),
            PER_AMPERE_HOUR,
            DENSITY_OF_COPPER,
            Input.measured("exposed area", exposed),
        ),
        source=Sentence("%(charge)s; %(density)s; a mean: narrow lines bite deeper than wide ones")
        % {"charge": FARADAY_SOURCE, "density": DENSITY_SOURCE},
    )
    moved = charge.times(efficiency, "g") * COPPER_G_PER_AH
    return Figure(value=moved.per(exposed, "µm") * (1e4 / COPPER_G_PER_CM3), unit="µm", working=working)


def density(current: Measured, area: Measured) -> Figure:
    """
    Return the current over each square decimetre of an area. [A/dm²]

    Source: definition.

    >>> round(density(Measured(1.5, 0.1, "A"), Measured(60, 6, "cm²")).value, 2)
    2.5
    """
    check_range("area", area.value, 0.01, LARGEST_CM2, "cm²")
    working = Working(
        formula="density = 100 × current / area",
        inputs=(Input.measured("current", current), Input.measured("area", area)),
        source="definition",
    )
    return Figure(value=current.per(area, "A/dm²") * 100, unit="A/dm²", working=working)


def minutes_for_depth(*, depth_um: float, density: Figure, efficiency: Figure) -> Figure:
    """
    Return how long a current density takes to bite so deep on average. [min]

    Source: Faraday’s law; density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> one = Figure(value=1.0, unit="A/dm²", working=_perfect().working, sd=0.1)
    >>> round(minutes_for_depth(depth_um=13.231, density=one, efficiency=_perfect()).value, 2)
    60.0
    """
    check_range("depth", depth_um, 0.0, 5000.0, "µm")
    check_range("current density", density.value, 0.001, 1000.0, "A/dm²")
    working = Working(
        formula=("minutes = 0.6 × depth × density of copper / (copper per ampere-hour × efficiency × current density)"),
        inputs=(
            Input(name="depth", value=depth_um, unit="µm"),
            DENSITY_OF_COPPER,
            PER_AMPERE_HOUR,
            Input.measured("efficiency", efficiency, AT_THE_PLATE),
            Input.measured("current density", density, "A/dm² of exposed copper"),
        ),
        source=Sentence("%(charge)s; %(density)s") % {"charge": FARADAY_SOURCE, "density": DENSITY_SOURCE},
    )
    # bites of the same depth take the same charge whatever the current was
    needed = Measured(0.6 * depth_um * COPPER_G_PER_CM3 / COPPER_G_PER_AH)
    return Figure(value=needed.per(density.times(efficiency, ""), "min"), unit="min", working=working)


@dataclass(frozen=True, slots=True, kw_only=True)
class BiteRecipe:
    """A bite as somebody tells it: so many amps on so much exposed copper."""

    current_a: float
    exposed_cm2: float

    def __post_init__(self) -> None:
        check_range("current", self.current_a, 0.001, MOST_CURRENT_A, "A")
        check_range("exposed area", self.exposed_cm2, 0.01, LARGEST_CM2, "cm²")


def minutes_for_same_depth(*, theirs: BiteRecipe, their_minutes: float, ours: BiteRecipe) -> Figure:
    """
    Return the minutes that bite as deep here as theirs did there: as many ampere-minutes to each cm² exposed. [min]

    Minutes do not carry over from studio to studio, ampere-minutes to a square centimetre do.

    Source: Faraday’s law: the same charge to each cm² moves the same copper.

    >>> theirs, ours = BiteRecipe(current_a=0.8, exposed_cm2=40), BiteRecipe(current_a=1.3, exposed_cm2=40)
    >>> round(minutes_for_same_depth(theirs=theirs, their_minutes=30, ours=ours).value, 1)
    18.5
    """
    check_range("minutes", their_minutes, 0.0, LONGEST_MIN, "min")
    share = theirs.current_a / theirs.exposed_cm2 * ours.exposed_cm2 / ours.current_a
    working = Working(
        formula="minutes = their minutes × their current / their exposed area × our exposed area / our current",
        inputs=(
            Input(name="their minutes", value=their_minutes, unit="min"),
            Input(name="their current", value=theirs.current_a, unit="A"),
            Input(name="their exposed area", value=theirs.exposed_cm2, unit="cm²"),
            Input(name="our exposed area", value=ours.exposed_cm2, unit="cm²"),
            Input(name="our current", value=ours.current_a, unit="A"),
        ),
        source="Faraday’s law: the same charge to each cm² moves the same copper",
        spread="as well as both ammeters and both areas are known",
    )
    return Figure(value=their_minutes * share, unit="min", working=working)


def copper_in_drips(drips: Measured, strength: Measured) -> Figure:
    """
    Return the copper that drips carry from the bath into the rinse; drips in litres, strength in g/L. [g]

    Source: IUPAC standard atomic weights, 2021; 4 to 8 mL cling to a plate: common practice, no source.

    >>> figure = copper_in_drips(Measured(0.006, 0.0015, "L"), Measured(250, 3, "g/L"))
    >>> print(f"{figure.value:.2f} ± {figure.half_width:.2f} g")
    0.38 ± 0.19 g
    """
    working = Working(
        formula="copper = drips × strength × copper per gram",
        inputs=(
            Input.measured("drips", drips),
            Input.measured("strength", strength),
            Input(name="copper per gram", value=sulfate.COPPER_PER_BLUE, unit="g Cu in 1 g of blue crystals"),
        ),
        source="IUPAC standard atomic weights, 2021; 4 to 8 mL cling to a plate: common practice, no source",
    )
    return Figure(value=drips.times(strength, "g") * sulfate.COPPER_PER_BLUE, unit="g", working=working)


def all_drips(drips: Sequence[Measured]) -> Figure:
    """
    Return the copper that the drips of several plates carried over, in all. [g]

    Source: drips written with each bite, at the strength of its bath then.

    >>> six_ml = Measured(0.006, 0.0015, "L", error=DRIPS)
    >>> drips = [copper_in_drips(six_ml, Measured(250, 3, "g/L")) for _ in range(20)]
    >>> print(f"{all_drips(drips).value:.1f} ± {all_drips(drips).half_width:.1f} g")
    7.6 ± 3.7 g
    """
    # drips named alike add up straight, those of other strengths as chance has it
    whole = total(drips, "g")
    working = Working(
        formula="copper = plates × copper of a plate",
        inputs=(
            Input(name="plates", value=float(len(drips)), unit="lifted out"),
            Input.measured("copper of a plate", whole / (len(drips) or 1), "g, on average"),
        ),
        source="drips written with each bite, at the strength of its bath then",
    )
    return Figure(value=whole, unit="g", working=working)


def together(depths: Sequence[Figure]) -> Figure:
    """
    Return how deep lines went that stayed open through several bites. [µm]

    Source: sum of the depths.

    >>> once = depth(counted_charge(2.25), _perfect(), exposed=Measured(150, 15, "cm²"))
    >>> round(together([once, once]).value, 1)
    39.7
    """
    names = [Sentence("depth %(number)s") % {"number": number} for number, _ in enumerate(depths, start=1)]
    working = Working(
        formula=Sentence("depth = %(sum)s") % {"sum": strung((names), PLUS)},
        inputs=tuple(Input.measured(name, each) for name, each in zip(names, depths, strict=True)),
        source="one bite after another, on lines that stayed open through all of them",
    )
    return Figure(value=total(depths, "µm"), unit="µm", working=working)


def _perfect() -> Figure:
    """The efficiency of this module's doctests: all of the current moves copper."""
    return Figure(value=1.0, unit="", working=Working(formula="", inputs=(), source="definition"), sd=0.0)
