"""The copper on a cathode through a year: by the current it climbs bite by bite, and a strip takes it down again."""

from collections.abc import Iterator
from datetime import timedelta

from chemistry.working import Figure
from studio.baths.drawings import thinned
from studio.cathodes.deposition import Checked, Interval
from studio.cathodes.status import ONE_DAY, CathodeStatus
from studio.drawing import charts
from studio.drawing.charts import Chart, ChartReading, Point

A_YEAR = timedelta(days=365)
MOST_POINTS_A_SPELL = 24


def chart(status: CathodeStatus) -> Chart | None:
    """By the current with its 95 % band, and what the scale said of it; None before its second day."""
    since = status.at - A_YEAR
    points = [point for point in points_by_current(status) if point.at >= since]
    if not points or points[-1].at - points[0].at < ONE_DAY:
        return None
    return charts.line(
        points,
        title=f"Copper on {status.cathode}, the last twelve months",
        unit="g",
        readings=[reading_of(each) for each in status.checked if each.event.is_dry and each.entry.happened_at >= since],
        decimals=1,
    )


def points_by_current(status: CathodeStatus) -> Iterator[Point]:
    # a wet weighing ends no stretch of the line
    ended = [each for each in status.checked if each.base_after()]
    for spell, checked in zip(status.growth.ended, ended, strict=True):
        yield from points_of_spell(spell)
        # the top before a strip, without which the line would slope down from the last bite
        yield point_at(checked.entry.happened_at, spell.predicted)
    yield from points_of_spell(status.growth.running)
    yield point_at(status.at, status.deposit)


def points_of_spell(spell: Interval) -> Iterator[Point]:
    """From what lay on it at first, bite after bite."""
    yield point_at(spell.base.since.at, spell.after(0))
    for number in thinned(range(1, len(spell.bites) + 1), MOST_POINTS_A_SPELL):
        yield point_at(spell.bites[number - 1].moment.at, spell.after(number))


def point_at(at, figure: Figure) -> Point:
    return Point(at, figure.value, figure.half_width)


def reading_of(checked: Checked) -> ChartReading:
    return ChartReading(checked.entry.happened_at, checked.shown.value, checked.shown.half_width)
