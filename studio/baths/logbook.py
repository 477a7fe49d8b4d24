"""A bath's log as it is read: the latest entry first, each with what the bath was after it, struck ones among them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo

from django.db.models import Exists, OuterRef, Prefetch, Q
from django.http import QueryDict

from chemistry.bath import DensityRead
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.solution import sulfate
from inventory.models import Entry, EntryQuerySet
from studio.baths import estimate
from studio.baths.models import Answer, Bath, BathEvent
from studio.book import paging
from studio.book.paging import Page
from studio.pages.quantities import Shown, Units, with_spread

LINES_A_PAGE = 20
CSV_HEAD = (
    "happened at",
    "written at",
    "done by",
    "what",
    "event",
    "note",
    "strength g/L",
    "± g/L",
    "volume L",
    "± L",
    "held out",
    "struck at",
    "struck by",
    "why struck",
)


@dataclass(frozen=True)
class Line:
    """
    One entry of the log and what the bath was after it.

    `held_out` is its reading that the book does not believe; an answer is `without_effect` when its reading is struck.
    """

    entry: Entry
    after: Sequence[Shown] = ()
    held_out: BathEvent | None = None
    answered: bool = False
    cautions: Sequence[str] = ()
    without_effect: bool = False


def page(bath: Bath, units: Units, asked: QueryDict) -> Page:
    """So many lines of the log as an address asks for them."""
    found = paging.page(_entries(bath), asked, size=LINES_A_PAGE)
    return replace(found, rows=[_line(entry, units, is_current=bath.estimate_is_current) for entry in found.rows])


def rows(bath: Bath, zone: tzinfo) -> Iterator[Sequence]:
    """Every event of the log, oldest first, struck ones among them, under CSV_HEAD; read as they are asked for."""
    for entry in paging.every(_entries(bath)):
        for event in entry.bath_events.all():
            yield _row(entry, event, zone)


def _row(entry: Entry, event: BathEvent, zone: tzinfo) -> Sequence:
    def moment(at: datetime | None) -> str:
        return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else ""

    return (
        moment(entry.happened_at),
        moment(entry.recorded_at),
        entry.done_by.name,
        entry.kind,
        event.words,
        entry.note,
        *_figures(event),
        "held out" if _is_held_out(event) else "",
        moment(entry.struck_at),
        entry.struck_by.name if entry.struck_by else "",
        entry.strike_reason,
    )


def _entries(bath: Bath) -> EntryQuerySet:
    """Entries that wrote in this bath's log, or answered one of its readings."""
    of_the_log = BathEvent.objects.filter(bath=bath).values("entry")
    struck = Answer.objects.filter(reading__bath=bath, reading__entry__struck_at__isnull=False)
    of_answers = Answer.objects.filter(reading__bath=bath).values("entry")
    events = BathEvent.objects.filter(bath=bath).select_related("estimate").order_by("pk")
    return (
        Entry.objects.filter(Q(pk__in=of_the_log) | Q(pk__in=of_answers))
        .annotate(answers_a_struck_reading=Exists(struck.filter(entry=OuterRef("pk"))))
        .select_related("done_by", "struck_by")
        .prefetch_related(Prefetch("bath_events", events), Prefetch("bath_events__answers", Answer.objects.standing()))
    )


def _line(entry, units: Units, *, is_current: bool) -> Line:
    events = list(entry.bath_events.all())
    if entry.is_struck or not events or not is_current:
        return Line(entry, without_effect=entry.answers_a_struck_reading)
    held_out = next((event for event in events if _is_held_out(event)), None)
    return Line(
        entry,
        after=_after(events[-1], units),
        held_out=held_out,
        answered=bool(held_out and held_out.answers.all()),
        cautions=[caution for event in events if (caution := _caution(event))],
    )


def _after(event: BathEvent, units: Units) -> Sequence[Shown]:
    state = estimate.load(event.estimate.state)
    if state is None:
        return ()
    strength = units.strength(state.strength_g_per_l, state.strength_sd_g_per_l)
    return (strength, with_spread(state.volume_l, state.volume_sd_l, "L"))


def _caution(event: BathEvent) -> str | None:
    """What to say of a hydrometer read in a bath colder or warmer than the tables."""
    read = event.event
    return sulfate.caution(0.0, read.temperature_c) if isinstance(read, DensityRead) else None


def _figures(event: BathEvent) -> Sequence[float | str]:
    """Strength and volume after the event, each with half its 95 % interval; empty where there is no estimate."""
    state = estimate.load(event.estimate.state) if hasattr(event, "estimate") else None
    if state is None:
        return ("", "", "", "")
    strength_sd, volume_sd = state.strength_sd_g_per_l, state.volume_sd_l
    figures = (state.strength_g_per_l, HALF_WIDTH_SDS * strength_sd, state.volume_l, HALF_WIDTH_SDS * volume_sd)
    return [round(figure, 3) for figure in figures]


def _is_held_out(event: BathEvent) -> bool:
    return hasattr(event, "estimate") and event.estimate.is_held_out
