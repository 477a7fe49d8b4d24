"""
One way to draw: plain figures come in, geometry goes to a template, SVG comes out.

The drawings carry presentation attributes only. The content policy forbids styles, and the PDF engine follows neither
`var()` nor `currentColor`.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, partial
from html import escape
from itertools import groupby, islice
from math import ceil
from operator import itemgetter
from typing import NamedTuple

from django.template.loader import render_to_string
from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import plain
from inventory.dates import short_day
from studio.drawing import hatching, scales
from studio.pages.quantities import NO_BREAK

LEFT, RIGHT, TOP, BOTTOM = 52.0, 472.0, 32.0, 220.0
LETTERS = 11


class Shape(NamedTuple):
    path: str
    name: str | Promise
    meaning: str | Promise


# Drawn upwards from the axis: one shape for each kind, told apart in grey.
EVENTS = {
    "top up": Shape("l-4.5-8h9z", gettext_lazy("triangle"), gettext_lazy("topped up")),
    "crystals": Shape("l4-4.5-4-4.5-4 4.5z", gettext_lazy("diamond"), gettext_lazy("crystals on the floor")),
    "spill": Shape("m-4-1 8-8m-8 0 8 8", gettext_lazy("cross"), gettext_lazy("spilled")),
    "lid": Shape("m-5-3h10m-5 0v-4", gettext_lazy("lid"), gettext_lazy("lid on or off")),
    "strain": Shape("m-5-1h10m-10-4h10m-10-4h10", gettext_lazy("three lines"), gettext_lazy("strained")),
    "mix": Shape("m-4-1v-8h8v8z", gettext_lazy("square"), gettext_lazy("mixed or adopted")),
}


class Point(NamedTuple):
    """Where the estimate stood at a moment; half_width is half of its 95 % interval."""

    at: datetime
    value: float
    half_width: float = 0.0


class ChartReading(NamedTuple):
    """What somebody measured, drawn hollow when it was held out."""

    at: datetime
    value: float
    half_width: float = 0.0
    held_out: bool = False


class ChartEvent(NamedTuple):
    """Something that was done; kind is a key of EVENTS."""

    at: datetime
    kind: str


class Band(NamedTuple):
    """A range of the scale that is hatched as it should be."""

    low: float
    high: float
    label: str


class Column(NamedTuple):
    """What a stretch of time came to: from the least to the most that it may have been."""

    name: str
    low: float
    high: float


class Tick(NamedTuple):
    at: str
    label: str


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A drawing with its words and its figures: `components/chart.html` sets them together."""

    svg: SafeString
    title: str
    desc: str
    legend: Sequence[tuple[SafeString, str | Promise]] = ()
    head: Sequence[str]
    lines: Callable[[], Iterable[Sequence[str]]]

    @cached_property
    def rows(self) -> list[Sequence[str]]:
        """The figures behind the drawing; worked out when somebody asks for them."""
        return list(self.lines())

    @cached_property
    def body(self) -> SafeString:
        """The rows as HTML; a year of them is too many cells for a template to visit."""
        return mark_safe(
            "".join(
                f'<tr><th scope="row">{escape(name)}</th>'
                + "".join(f'<td class="num">{escape(cell)}</td>' for cell in cells)
                + "</tr>"
                for name, *cells in self.rows
            )
        )


def line(
    points: Iterable[Point | None],
    *,
    title: str,
    unit: str,
    readings: Sequence[ChartReading] = (),
    events: Sequence[ChartEvent] = (),
    bands: Sequence[Band] = (),
    decimals: int = 0,
    is_stock: bool = False,
) -> Chart:
    """
    An estimate through time with its 95 % band, the readings it rests on and what was done meanwhile.

    None among the points breaks the line. is_stock: it stays as it is until something happens, and is seen from nought.
    """
    stretches = groupby(points, key=lambda point: point is not None)
    runs = [[point for point in run if point] for is_known, run in stretches if is_known]
    known = [point for run in runs for point in run]
    if not known:
        raise ValueError("a chart needs at least one point")
    frame = Frame(known, readings, bands, is_stock=is_stock)
    desc = chart_in_words(known, bands, unit, decimals)
    drawing = {
        "title": f"{title}: {amount_with_spread(known[-1], decimals)} {unit}",
        "desc": desc,
        "unit": unit,
        "ranges": [frame.band(band) for band in bands],
        "spread": frame.spread(runs),
        "line": frame.line(runs),
        "error_bars": frame.error_bars(readings),
        "readings": frame.dots(readings),
        "held_out": frame.dots([reading for reading in readings if reading.held_out]),
        "events": frame.events(events),
        "values": frame.values(),
        "dates": frame.dates(),
    }
    return Chart(
        svg=svg_of("components/chart_line.svg", drawing),
        title=title,
        desc=desc,
        legend=list(legend_of(known, readings, events, bands)),
        head=(_("When"), _("By the book, %(unit)s") % {"unit": unit}, _("Read, %(unit)s") % {"unit": unit}),
        lines=partial(table_lines, known, readings, decimals),
    )


def columns(
    months: Sequence[Column], *, title: str, unit: str, decimals: int = 0, most: float = 0.0, letters: int = LETTERS
) -> Chart:
    """
    One column for each month or other stretch, from zero upwards; where it is a range, the rest of it left open.

    most: how high the scale reaches at least, so that drawings beside each other share it. letters: on paper; a page
    sets its own by how wide the drawing is.
    """
    if not months:
        raise ValueError("a chart needs at least one column")
    highest = max(most, *(each.high for each in months)) or 1
    scale = scales.holding(0, highest, most_steps=4, least_step=10.0**-decimals)
    y_per_unit = (BOTTOM - TOP) / scale.high
    room = (RIGHT - LEFT) / len(months)
    width = room * 2 / 3
    feet = [(LEFT + room * (i + 1 / 6), BOTTOM - each.low * y_per_unit) for i, each in enumerate(months)]
    has_ranges = any(each.high > each.low for each in months)
    # two years of names under one axis would run into each other
    every = ceil(len(months) / scales.MOST_DATES)
    low, high = sum(each.low for each in months), sum(each.high for each in months)
    desc = _("%(total)s %(unit)s in all, from %(first)s to %(last)s.") % {
        "total": range_of(low, high, decimals),
        "unit": unit,
        "first": months[0].name,
        "last": months[-1].name,
    }
    drawing = {
        "title": f"{title}, {unit}",
        "desc": desc,
        "unit": unit,
        "letters": letters,
        "foot": f"{BOTTOM + 6 + 0.8 * letters:.0f}",
        "columns": "".join(f"M{left:.1f} {BOTTOM:.0f}V{top:.1f}h{width:.1f}V{BOTTOM:.0f}z" for left, top in feet),
        "hatch": "".join(hatching.level(left, left + width, top, BOTTOM, every=4) for left, top in feet),
        "ranges": "".join(
            f"M{left:.1f} {top:.1f}V{BOTTOM - each.high * y_per_unit:.1f}h{width:.1f}V{top:.1f}"
            for (left, top), each in zip(feet, months, strict=True)
            if each.high > each.low
        ),
        "values": [Tick(f"{BOTTOM - mark * y_per_unit:.0f}", scale.label(mark)) for mark in scale.marks],
        "dates": [
            Tick(f"{left + width / 2:.0f}", each.name)
            for (left, _), each in islice(zip(feet, months, strict=True), 0, None, every)
        ],
    }
    return Chart(
        svg=svg_of("components/chart_columns.svg", drawing),
        title=title,
        desc=desc,
        legend=list(legend_of_columns()) if has_ranges else (),
        head=(_("Month"), unit),
        lines=lambda: [(each.name, range_of(each.low, each.high, decimals)) for each in months],
    )


def range_of(low: float, high: float, decimals: int) -> str:
    """
    >>> range_of(1.04, 2.5, 1), range_of(3, 3, 0)
    ('1.0 to 2.5', '3')
    """
    least, most = plain(low, decimals), plain(high, decimals)
    return least if least == most else _("%(low)s to %(high)s") % {"low": least, "high": most}


def legend_of_columns() -> Iterator[tuple[SafeString, str]]:
    hatch = hatching.level(2, 22, 1, 13, every=4)
    yield swatch(_("hatched box"), f'<path fill="#cfdde4" stroke="#12557f" d="M2 1h20v12H2z{hatch}"/>'), _("at least")
    dashed = '<path fill="none" stroke="#12557f" stroke-dasharray="3 2" d="M2 13V1h20v12"/>'
    yield swatch(_("dashed box"), dashed), _("at most")


def svg_of(template_name: str, drawing: dict) -> SafeString:
    return mark_safe(render_to_string(template_name, drawing).strip())


class Frame:
    """The two scales of a line chart, moments across and values up, and what is drawn on them."""

    def __init__(
        self, points: Sequence[Point], readings: Sequence[ChartReading], bands: Sequence[Band], *, is_stock: bool
    ) -> None:
        self.is_stock = is_stock
        measured: list[Point | ChartReading] = [*points, *readings]
        moments = [each.at for each in measured]
        self.start, self.end = min(moments), max(moments)
        if self.start == self.end:
            # one reading alone has no width to divide the scale by
            self.start, self.end = self.start - timedelta(days=1), self.end + timedelta(days=1)
        # without air a band would end exactly on the frame and look cut off
        air = sum(band.high - band.low for band in bands) / 20
        lows = [each.value - each.half_width for each in measured] + [band.low - air for band in bands]
        highs = [each.value + each.half_width for each in measured] + [band.high + air for band in bands]
        # a stock drawn from half its height would seem to have run out
        self.scale = scales.holding(0.0 if is_stock else min(lows), max(highs))
        self.start_s = self.start.timestamp()
        self.x_per_s = (RIGHT - LEFT) / (self.end.timestamp() - self.start_s)
        self.y_per_unit = (BOTTOM - TOP) / (self.scale.high - self.scale.low)

    def x(self, at: datetime) -> float:
        return LEFT + (at.timestamp() - self.start_s) * self.x_per_s

    def y(self, value: float) -> float:
        return BOTTOM - (value - self.scale.low) * self.y_per_unit

    def values(self) -> list[Tick]:
        return [Tick(f"{self.y(mark):.0f}", self.scale.label(mark)) for mark in self.scale.marks]

    def dates(self) -> list[Tick]:
        return [Tick(f"{self.x(at):.0f}", label) for at, label in scales.dates_between(self.start, self.end)]

    def line(self, runs: Sequence[Sequence[Point]]) -> str:
        if self.is_stock:
            return "".join(
                f"M{self.x(run[0].at):.1f} {self.y(run[0].value):.1f}"
                + "".join(f"H{self.x(at):.1f}V{self.y(value):.1f}" for at, value, _ in run[1:])
                for run in runs
            )
        return "".join("M" + "L".join(f"{self.x(at):.1f} {self.y(value):.1f}" for at, value, _ in run) for run in runs)

    def spread(self, runs: Sequence[Sequence[Point]]) -> str:
        """Along the upper edge of each run and back along its lower; nothing where all of it is known exactly."""
        outlines = []
        for run in (run for run in runs if any(point.half_width for point in run)):
            edges = [(self.x(at), value, half_width) for at, value, half_width in run]
            upper = [f"{x:.1f} {self.y(value + half_width):.1f}" for x, value, half_width in edges]
            lower = [f"{x:.1f} {self.y(value - half_width):.1f}" for x, value, half_width in reversed(edges)]
            outlines.append(f"M{'L'.join(upper + lower)}z")
        return "".join(outlines)

    def error_bars(self, readings: Sequence[ChartReading]) -> str:
        return "".join(
            f"M{self.x(at):.1f} {self.y(value + half_width):.1f}V{self.y(value - half_width):.1f}"
            for at, value, half_width, _ in readings
        )

    def dots(self, readings: Sequence[ChartReading]) -> str:
        """Lines of no length: a round pen makes a dot of each."""
        return "".join(f"M{self.x(reading.at):.1f} {self.y(reading.value):.1f}h0" for reading in readings)

    def events(self, events: Sequence[ChartEvent]) -> str:
        return "".join(f"M{self.x(event.at):.1f} {BOTTOM:.0f}{EVENTS[event.kind].path}" for event in events)

    def band(self, band: Band) -> dict[str, str]:
        top, bottom = self.y(band.high), self.y(band.low)
        return {
            "edges": f"M{LEFT:.0f} {top:.1f}H{RIGHT:.0f}M{LEFT:.0f} {bottom:.1f}H{RIGHT:.0f}",
            "hatch": hatching.upright(LEFT, RIGHT, top, bottom, every=5),
        }


def chart_in_words(points: Sequence[Point], bands: Sequence[Band], unit: str, decimals: int) -> str:
    """What a reader who cannot see the drawing should know of it."""
    # the trend in a sentence; the table behind the drawing has the figures
    first, last = points[0], points[-1]
    began, ended = map(short_day, (first.at, last.at))
    places = {"value": amount_with_spread(last, decimals), "unit": unit, "day": ended}
    words = [_("%(value)s %(unit)s on %(day)s") % places]
    if first.at != last.at:
        lowest, highest = (plain(find(point.value for point in points), decimals) for find in (min, max))
        words.append(_("%(value)s on %(day)s") % {"value": amount_with_spread(first, decimals), "day": began})
        words.append(_("between them lowest %(lowest)s, highest %(highest)s") % {"lowest": lowest, "highest": highest})
    for band in bands:
        low, high = (plain(end, decimals) for end in (band.low, band.high))
        words.append(_("%(band)s %(low)s to %(high)s") % {"band": band.label, "low": low, "high": high})
    return "; ".join(words) + "."


def amount_with_spread(measured: Point | ChartReading, decimals: int) -> str:
    spread = f"{NO_BREAK}±{NO_BREAK}{plain(measured.half_width, decimals)}" if measured.half_width else ""
    return f"{plain(measured.value, decimals)}{spread}"


def table_lines(points: Sequence[Point], readings: Sequence[ChartReading], decimals: int) -> list[tuple[str, str, str]]:
    """Latest first, as in the book."""
    lines = [(point.at, amount_with_spread(point, decimals), "") for point in points]
    for reading in readings:
        read = amount_with_spread(reading, decimals)
        lines.append((reading.at, "", _("%(read)s, held out") % {"read": read} if reading.held_out else read))
    # by the moment alone: two lines of one moment stay as they were handed over
    lines.sort(key=itemgetter(0), reverse=True)
    days = (short_day(at) for at, _, _ in lines)
    return [(day, booked, read) for day, (_, booked, read) in zip(days, lines, strict=True)]


def legend_of(
    points: Sequence[Point], readings: Sequence[ChartReading], events: Sequence[ChartEvent], bands: Sequence[Band]
) -> Iterator[tuple[SafeString, str | Promise]]:
    """Only what this drawing shows, in words."""
    line = '<path stroke="#12557f" stroke-width="2" d="M0 7h24"/>'
    if any(point.half_width for point in points):
        spread = '<path fill="#12557f" fill-opacity=".2" d="M0 1h24v12H0z"/>'
        yield swatch(_("line with a band"), spread + line), _("by the book, 95 % interval")
    else:
        yield swatch(_("line"), line), _("by the book")
    if not all(reading.held_out for reading in readings):
        yield swatch(_("dot"), '<circle cx="12" cy="7" r="3.5" fill="#1d1b1a"/>'), _("read")
    if any(reading.held_out for reading in readings):
        ring = '<circle cx="12" cy="7" r="3" fill="#fff" stroke="#1d1b1a" stroke-width="1.5"/>'
        yield swatch(_("ring"), ring), _("read, held out")
    for band in bands:
        hatch = hatching.upright(1, 23, 1, 13, every=4)
        yield swatch(_("fine hatch"), f'<path stroke="#2f6b5c" d="M1 1h22M1 13h22{hatch}"/>'), band.label
    for kind in dict.fromkeys(event.kind for event in events):
        path, name, meaning = EVENTS[kind]
        drawn = f'<path fill="#94471f" stroke="#94471f" stroke-width="1.5" d="M12 12{path}"/>'
        yield swatch(name, drawn), meaning


def swatch(name: str | Promise, drawing: str) -> SafeString:
    """Hidden from a page's readers, who have the words beside it; a PDF must name even this."""
    return mark_safe(f'<svg viewBox="0 0 24 14" aria-hidden="true"><title>{name}</title>{drawing}</svg>')
