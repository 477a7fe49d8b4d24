"""A bath drawn: the jug with its level, the strength on a rule, and the strength through a year."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import NamedTuple

from django.utils.translation import gettext as _

from chemistry import bath as bath_model
from chemistry.bath import BathState
from chemistry.bath.events import STANDARD_C
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.solution import sulfate
from studio.baths import estimate, kinds, readings
from studio.baths.estimate import CourseStep
from studio.baths.models import BathEvent
from studio.baths.status import BathStatus
from studio.drawing import charts
from studio.drawing.charts import Band, Chart, ChartEvent, ChartReading, Point
from studio.drawing.gauges import Jug, RulerScale
from studio.pages.quantities import Units

Kind = BathEvent.Kind

A_YEAR = timedelta(days=365)
MOST_POINTS = 80
DRAWN: dict[str, str] = {
    Kind.MIXED: "mix",
    Kind.ADOPTED: "mix",
    Kind.WATER_ADDED: "top up",
    Kind.CRYSTALS_ADDED: "top up",
    Kind.SOLUTION_ADDED: "top up",
    Kind.POURED_IN: "top up",
}
TELLING_STRENGTH = (Kind.DENSITY_READ, Kind.TITRATED)
LEAVES_THE_STRENGTH = (Kind.BITTEN, *BathEvent.TAKING)
DRAWN_ENTRIES: dict[str, str] = {kinds.SPILL: "spill", kinds.STRAINED: "strain", kinds.LID: "lid"}


def jug(status: BathStatus) -> Jug:
    return Jug(
        name=status.bath.name,
        rim_l=status.bath.rim_l,
        volume_l=status.state.volume_l if status.state else None,
        mark_l=status.bath.fill_l,
        crystals=status.has_crystals_now,
    )


def rule(status: BathStatus, units: Units) -> RulerScale:
    """The strength on the studio's scale, with the range and from where crystals fall out at the coldest."""
    state, bath = status.state, status.bath
    saturated = sulfate.strength_g_per_l(sulfate.solubility_mass_fraction(status.tonight_c), STANDARD_C)
    return RulerScale(
        value=units.strength_number(state.strength_g_per_l) if state else None,
        half_width=strength_half_width(state, units) if state else 0.0,
        working=(units.strength_number(bath.range_low_g_per_l), units.strength_number(bath.range_high_g_per_l)),
        crystals_from=None if status.freezes_tonight else units.strength_number(saturated),
        unit=units.strength_unit,
        decimals=units.strength_decimals,
    )


def chart(status: BathStatus, units: Units) -> Chart | None:
    """Strength over the last year with its 95 % band, readings and what was done; None before its second day."""
    since = status.at - A_YEAR
    every = estimate.course(status.bath, since)
    steps = [step for step in every if step.at >= since]
    moments = list(moments_of_strength(steps, status))
    # a line through one day is a dot, and a dot shows no course
    if not moments or moments[-1].at - moments[0].at < estimate.ONE_DAY:
        return None
    shown = thinned(moments, MOST_POINTS)
    low, high = status.bath.range_low_g_per_l, status.bath.range_high_g_per_l
    words = [(step, DRAWN.get(step.kind) or DRAWN_ENTRIES.get(step.entry_kind)) for step in steps]
    done = [ChartEvent(step.at, drawn) for step, drawn in words if drawn]
    return charts.line(
        [strength_point(at, bath_model.forecast(after.state, days=days), units) for at, after, days in shown],
        title=_("Strength of %(bath)s, the last twelve months") % {"bath": status.bath},
        unit=units.strength_unit,
        readings=chart_readings(every[-len(steps) - 1 :], units),
        events=thinned(done, MOST_POINTS),
        bands=[Band(units.strength_number(low), units.strength_number(high), _("working range"))],
        decimals=units.strength_decimals,
    )


def thinned(items: Sequence, at_most: int) -> list:
    """
    So many of the items, evenly spread, the last one always among them.

    >>> thinned([1, 2, 3, 4, 5, 6, 7], 3)
    [1, 4, 7]
    """
    every = -(-len(items) // at_most) or 1
    return list(items[(len(items) - 1) % every :: every])


class MomentOfStrength(NamedTuple):
    """after: what the bath was some days before, from where its strength is worked out once it is to be drawn."""

    at: datetime
    after: CourseStep | BathStatus
    days: float = 0.0


def moments_of_strength(steps: Sequence[CourseStep], status: BathStatus) -> Iterator[MomentOfStrength]:
    """After each event, and before it where something went in: drying is a slope, a top-up is a step."""
    before: CourseStep | None = None
    for step in steps:
        # a point for each bite would hide the readings under a row of equal marks
        if step.kind in LEAVES_THE_STRENGTH:
            continue
        # without the point just before it a top-up would be drawn as weeks of slow change
        if before and before.is_known and step.kind in DRAWN:
            yield MomentOfStrength(step.at, before, (step.at - before.at) / estimate.ONE_DAY)
        if step.is_known:
            yield MomentOfStrength(step.at, step)
        before = step
    if status.state:
        yield MomentOfStrength(status.at, status)


def strength_point(at: datetime, state: BathState, units: Units) -> Point:
    return Point(at, units.strength_number(state.strength_g_per_l), strength_half_width(state, units))


def strength_half_width(state: BathState, units: Units) -> float:
    return HALF_WIDTH_SDS * state.strength_sd_g_per_l * units.strength_slope(state.strength_g_per_l)


def chart_readings(steps: Sequence[CourseStep], units: Units) -> list[ChartReading]:
    """Some of many, but each one that was held out."""
    pairs = [(before, step) for before, step in pairwise(steps) if step.kind in TELLING_STRENGTH]
    shown = {id(step) for _, step in thinned(pairs, MOST_POINTS)}
    told = (
        chart_reading(before, step, units) for before, step in pairs if id(step) in shown or step.far_off_sd is not None
    )
    return [reading for reading in told if reading]


def chart_reading(before: CourseStep, step: CourseStep, units: Units) -> ChartReading | None:
    """A hydrometer or a titration as a point of the chart; a level says nothing of the strength."""
    if before.state is None or step.state is None:
        return None
    held_out = step.far_off_sd is not None
    alone = readings.alone(step.event, before.state, step.state)
    # what is lighter or heavier than any bath has no strength to draw
    if alone.unit != "g/L" or not alone.value:
        return None
    half_width = alone.half_width * units.strength_slope(alone.value)
    return ChartReading(step.at, units.strength_number(alone.value), half_width, held_out)
