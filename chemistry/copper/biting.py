"""
What one bite did, and how long the next one takes: charge, copper, depth and minutes, each with its spread.

Depth is a mean over the exposed area. Narrow lines bite deeper than wide ones, and undercutting is neglected.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt

from chemistry.copper import electrolysis
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2, MOST_CURRENT_A
from chemistry.ranges import check_range
from chemistry.solution import sulfate
from chemistry.working import Figure, Input, Working

COPPER_G_PER_AH = electrolysis.copper_moved_g(charge_ah=1.0)
FARADAY_SOURCE = "Faraday’s law; F from CODATA 2018, M from IUPAC standard atomic weights 2021"
DENSITY_SOURCE = "density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021"

METER_SD_SHARE = 0.015  # the display of a bench supply is good to 3 %: common practice, no source
WANDER_SD_SHARE = 0.1  # how far a current wanders while nobody looks; each look halves, thirds ... it: own estimate
WATCH_SD_MIN = 0.1  # a switch and a clock: own estimate
ABOUT_SD_MIN = 2.0  # "stopped about": own estimate
LONGEST_MIN = 10_000.0

Reading = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Minutes of a bite in which the supply was off, as in a power cut."""

    begins_min: float
    ends_min: float

    def __post_init__(self) -> None:
        if not 0 <= self.begins_min < self.ends_min:
            raise ValueError(f"current cannot go at {self.begins_min:g} min and be back at {self.ends_min:g} min")


def profile(readings: Sequence[Reading], *, minutes: float, gap: Gap | None = None) -> list[Reading]:
    """
    Readings of the ammeter completed to the whole bite: (minutes, amps) from its start to its stop.

    The first reading holds back to the start and the last one on to the stop; in a gap the current is nought. A
    reading taken in a gap is one of nought already, and left out.

    >>> profile([(5, 1.2), (20, 1.0)], minutes=30)
    [(0.0, 1.2), (5, 1.2), (20, 1.0), (30, 1.0)]
    """
    check_range("minutes", minutes, 0.0, LONGEST_MIN, "min")
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

    >>> figure = charge([(1, 1.3), (15, 1.1)], minutes=30)
    >>> print(f"{figure.value:.3f} ± {figure.half_width:.3f} {figure.unit}")
    0.577 ± 0.059 A·h
    """
    charge_ah = electrolysis.charge_ah(profile(readings, minutes=minutes, gap=gap))
    average_a = 60 * charge_ah / minutes if minutes else 0.0
    average_sd = average_a * hypot(METER_SD_SHARE, WANDER_SD_SHARE / len(readings))
    working = Working(
        formula="charge = average current × minutes / 60",
        inputs=(
            Input(name="average current", value=average_a, unit=f"A, {_looks(readings)}", sd=average_sd),
            Input(name="minutes", value=minutes, unit="min", sd=minutes_sd),
        ),
        source="area under the readings by the trapezoidal rule; first and last reading held to start and stop",
    )
    sd = hypot(average_sd * minutes, average_a * minutes_sd) / 60
    return Figure(value=charge_ah, unit="A·h", working=working, sd=sd)


def _looks(readings: Sequence[Reading]) -> str:
    return "read once" if len(readings) == 1 else f"from {len(readings)} readings"


def counted_charge(charge_ah: float) -> Figure:
    """
    Return a charge as the supply itself counted it. [A·h]

    >>> print(f"{counted_charge(0.6).half_width:.3f}")
    0.018
    """
    return _as_it_is(charge_ah, METER_SD_SHARE * charge_ah, "the supply’s own display")


def kept_charge(charge_ah: float, charge_sd_ah: float) -> Figure:
    """
    Return the charge of a bite as it was worked out when it was stopped. [A·h]

    >>> kept_charge(0.6, 0.02).sd
    0.02
    """
    return _as_it_is(charge_ah, charge_sd_ah, "readings of the bite, worked out when it was stopped")


def _as_it_is(charge_ah: float, charge_sd_ah: float, source: str) -> Figure:
    check_range("charge", charge_ah, 0.0, electrolysis.MOST_CHARGE_AH, "A·h")
    known = Input(name="known", value=charge_ah, unit="A·h", sd=charge_sd_ah)
    working = Working(formula="charge = known", inputs=(known,), source=source)
    return Figure(value=charge_ah, unit="A·h", working=working, sd=charge_sd_ah)


def copper(charge: Figure, efficiency: Figure) -> Figure:
    """
    Return the copper that a charge moves. [g]

    >>> round(copper(counted_charge(2), _perfect()).value, 3)
    2.371
    """
    working = Working(
        formula="copper = charge × efficiency × copper per ampere-hour",
        inputs=(*_charge_and_efficiency(charge, efficiency), _per_ampere_hour()),
        source=FARADAY_SOURCE,
    )
    value = charge.value * efficiency.value * COPPER_G_PER_AH
    return Figure(value=value, unit="g", working=working, sd=value * _share(charge, efficiency))


def depth(charge: Figure, efficiency: Figure, *, exposed_cm2: float, exposed_sd_cm2: float) -> Figure:
    """
    Return how deep a bite went on average over the copper that was exposed. [µm]

    >>> round(depth(counted_charge(2.25), _perfect(), exposed_cm2=150, exposed_sd_cm2=15).value, 2)
    19.85
    """
    value = electrolysis.bite_depth_um(charge_ah=charge.value, exposed_cm2=exposed_cm2, efficiency=efficiency.value)
    exposed = Input(name="exposed area", value=exposed_cm2, unit="cm²", sd=exposed_sd_cm2)
    working = Working(
        formula=("depth = 10000 × charge × efficiency × copper per ampere-hour / (density of copper × exposed area)"),
        inputs=(*_charge_and_efficiency(charge, efficiency), _per_ampere_hour(), _density_of_copper(), exposed),
        source=f"{FARADAY_SOURCE}; {DENSITY_SOURCE}; a mean: narrow lines bite deeper than wide ones",
    )
    sd = value * hypot(_share(charge, efficiency), exposed_sd_cm2 / exposed_cm2)
    return Figure(value=value, unit="µm", working=working, sd=sd)


def density(*, current_a: float, current_sd_a: float, area_cm2: float, area_sd_cm2: float) -> Figure:
    """
    Return the current over each square decimetre of an area. [A/dm²]

    >>> round(density(current_a=1.5, current_sd_a=0.1, area_cm2=60, area_sd_cm2=6).value, 2)
    2.5
    """
    value = electrolysis.current_density_a_per_dm2(current_a=current_a, area_cm2=area_cm2)
    working = Working(
        formula="density = 100 × current / area",
        inputs=(
            Input(name="current", value=current_a, unit="A", sd=current_sd_a),
            Input(name="area", value=area_cm2, unit="cm²", sd=area_sd_cm2),
        ),
        source="definition",
    )
    sd = hypot(100 * current_sd_a / area_cm2, value * area_sd_cm2 / area_cm2)
    return Figure(value=value, unit="A/dm²", working=working, sd=sd)


def minutes_for_depth(*, depth_um: float, density: Figure, efficiency: Figure) -> Figure:
    """
    Return how long a current density takes to bite so deep on average. [min]

    >>> one = Figure(value=1.0, unit="A/dm²", working=_perfect().working, sd=0.1)
    >>> round(minutes_for_depth(depth_um=13.231, density=one, efficiency=_perfect()).value, 2)
    60.0
    """
    check_range("depth", depth_um, 0.0, 5000.0, "µm")
    check_range("current density", density.value, 0.001, 1000.0, "A/dm²")
    value = 0.6 * depth_um * COPPER_G_PER_CM3 / (COPPER_G_PER_AH * efficiency.value * density.value)
    working = Working(
        formula=("minutes = 0.6 × depth × density of copper / (copper per ampere-hour × efficiency × current density)"),
        inputs=(
            Input(name="depth", value=depth_um, unit="µm"),
            _density_of_copper(),
            _per_ampere_hour(),
            Input(name="efficiency", value=efficiency.value, unit="", sd=efficiency.sd),
            Input(name="current density", value=density.value, unit="A/dm² of exposed copper", sd=density.sd),
        ),
        source=f"{FARADAY_SOURCE}; {DENSITY_SOURCE}",
    )
    return Figure(value=value, unit="min", working=working, sd=value * _share(density, efficiency))


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """A bite as somebody tells it: so many amps on so much exposed copper."""

    current_a: float
    exposed_cm2: float

    def __post_init__(self) -> None:
        check_range("current", self.current_a, 0.001, MOST_CURRENT_A, "A")
        check_range("exposed area", self.exposed_cm2, 0.01, LARGEST_CM2, "cm²")


def minutes_for_same_depth(*, theirs: Recipe, their_minutes: float, ours: Recipe) -> Figure:
    """
    Return the minutes that bite as deep here as theirs did there: as many ampere-minutes to each cm² exposed. [min]

    Minutes do not carry over from studio to studio, ampere-minutes to a square centimetre do.

    >>> theirs, ours = Recipe(current_a=0.8, exposed_cm2=40), Recipe(current_a=1.3, exposed_cm2=40)
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


def copper_in_drips(*, litres: float, litres_sd: float, strength_g_per_l: float, strength_sd_g_per_l: float) -> Figure:
    """
    Return the copper that drips carry from the bath into the rinse. [g]

    >>> figure = copper_in_drips(litres=0.006, litres_sd=0.0015, strength_g_per_l=250, strength_sd_g_per_l=3)
    >>> print(f"{figure.value:.2f} ± {figure.half_width:.2f} g")
    0.38 ± 0.19 g
    """
    value = litres * strength_g_per_l * sulfate.COPPER_PER_BLUE
    working = Working(
        formula="copper = drips × strength × copper per gram",
        inputs=(
            Input(name="drips", value=litres, unit="L", sd=litres_sd),
            Input(name="strength", value=strength_g_per_l, unit="g/L", sd=strength_sd_g_per_l),
            Input(name="copper per gram", value=sulfate.COPPER_PER_BLUE, unit="g Cu in 1 g of blue crystals"),
        ),
        source="IUPAC standard atomic weights, 2021; 4 to 8 mL cling to a plate: common practice, no source",
    )
    sd = sulfate.COPPER_PER_BLUE * hypot(litres_sd * strength_g_per_l, litres * strength_sd_g_per_l)
    return Figure(value=value, unit="g", working=working, sd=sd)


def all_drips(drips: Sequence[Figure]) -> Figure:
    """
    Return the copper that the drips of several plates carried over, if they all dripped a little more or less. [g]

    >>> one = copper_in_drips(litres=0.006, litres_sd=0.0015, strength_g_per_l=250, strength_sd_g_per_l=3)
    >>> print(f"{all_drips([one] * 20).value:.1f} ± {all_drips([one] * 20).half_width:.1f} g")
    7.6 ± 3.7 g
    """
    mean = sum(each.value for each in drips) / len(drips) if drips else 0.0
    sd = sum(each.sd or 0.0 for each in drips)
    working = Working(
        formula="copper = plates × copper of a plate",
        inputs=(
            Input(name="plates", value=float(len(drips)), unit="lifted out"),
            Input(name="copper of a plate", value=mean, unit="g, on average", sd=sd / len(drips) if drips else 0.0),
        ),
        source="drips written with each bite, at the strength of its bath then",
    )
    return Figure(value=mean * len(drips), unit="g", working=working, sd=sd)


def together(depths: Sequence[Figure]) -> Figure:
    """
    Return how deep lines went that stayed open through several bites. [µm]

    >>> once = depth(counted_charge(2.25), _perfect(), exposed_cm2=150, exposed_sd_cm2=15)
    >>> round(together([once, once]).value, 1)
    39.7
    """
    names = [f"depth {number}" for number, _ in enumerate(depths, start=1)]
    working = Working(
        formula=f"depth = {' + '.join(names)}",
        inputs=tuple(
            Input(name=name, value=each.value, unit=each.unit, sd=each.sd)
            for name, each in zip(names, depths, strict=True)
        ),
        source="one bite after another, on lines that stayed open through all of them",
    )
    sd = sqrt(sum((each.sd or 0.0) ** 2 for each in depths))
    return Figure(value=sum(each.value for each in depths), unit="µm", working=working, sd=sd)


def _share(*figures: Figure) -> float:
    """The spread of a product or a quotient, as a share of it."""
    return sqrt(sum(((each.sd or 0.0) / each.value) ** 2 for each in figures if each.value))


def _charge_and_efficiency(charge: Figure, efficiency: Figure) -> tuple[Input, Input]:
    return (
        Input(name="charge", value=charge.value, unit=charge.unit, sd=charge.sd),
        Input(name="efficiency", value=efficiency.value, unit="", sd=efficiency.sd),
    )


def _per_ampere_hour() -> Input:
    return Input(name="copper per ampere-hour", value=COPPER_G_PER_AH, unit="g/A·h")


def _density_of_copper() -> Input:
    return Input(name="density of copper", value=COPPER_G_PER_CM3, unit="g/cm³")


def _perfect() -> Figure:
    """The efficiency of this module's doctests: all of the current moves copper."""
    return Figure(value=1.0, unit="", working=Working(formula="", inputs=(), source="definition"), sd=0.0)
