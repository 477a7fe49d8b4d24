"""A bath's log as it is read: the latest entry first, each with what the bath was after it, struck ones among them."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import tzinfo
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.http import QueryDict

from chemistry.bath import DensityRead
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.solution import sulfate
from inventory.asked_often import asked_often
from inventory.dates import iso_minute
from inventory.models import Entry, EntryQuerySet
from studio.baths import estimate, readings
from studio.baths.models import Answer, Bath, BathEvent
from studio.baths.readings import DisplayedReading
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
class LogLine:
    """
    One entry of the log and what the bath was after it.

    `said` is what its reading says beside the book, `held_out` one that the book does not believe; an answer is
    `without_effect` when its reading is struck.
    """

    entry: Entry
    after: Sequence[Shown] = ()
    held_out: BathEvent | None = None
    answered: bool = False
    cautions: Sequence[str] = ()
    said: DisplayedReading | None = None
    without_effect: bool = False


def page(bath: Bath, units: Units, asked: QueryDict) -> Page:
    """So many lines of the log as an address asks for them."""
    found = paging.page(entries_about(bath.pk), asked, size=LINES_A_PAGE, newest=lambda: newest_entries(bath.pk))
    # of an older model's estimates nothing is shown
    shown = [entry.pk for entry in found.rows if not entry.is_struck] if bath.estimate_is_current else []
    events = events_of_entries(bath.pk, shown) if shown else []
    of_entry: dict[int, list[BathEvent]] = defaultdict(list)
    for event in events:
        of_entry[event.entry_id].append(event)
    said = {event.entry_id: words for event, words in readings.displayed_readings(events, units)}
    lines = [line_of(entry, units, of_entry[entry.pk], said.get(entry.pk)) for entry in found.rows]
    return replace(found, rows=lines)


def line_of(entry, units: Units, events: Sequence[Any], said: DisplayedReading | None) -> LogLine:
    """events: of a standing entry, where what is kept of the bath is not too old a model's."""
    if not events:
        return LogLine(entry, without_effect=entry.answers_a_struck_reading)
    held_out = next((event for event in events if event.is_held_out), None)
    state, after = events[-1].estimate.bath_state, tuple[Shown, ...]()
    if state:
        strength = units.strength(state.strength_g_per_l, state.strength_sd_g_per_l)
        after = (strength, with_spread(state.volume_l, state.volume_sd_l, "L"))
    # a hydrometer read in a bath colder or warmer than the tables
    read = [event.event for event in events]
    cautions = [sulfate.caution(0.0, each.temperature_c) for each in read if isinstance(each, DensityRead)]
    return LogLine(
        entry,
        after=after,
        held_out=held_out,
        answered=bool(held_out and held_out.is_answered),
        cautions=[caution for caution in cautions if caution],
        said=said,
    )


def rows(bath: Bath, zone: tzinfo) -> Iterator[Sequence]:
    """Every event of the log, oldest first, struck ones among them, under CSV_HEAD; read as they are asked for."""
    # a page of entries at a time: a book of many years would not fit in memory as one list
    events = BathEvent.objects.filter(bath=bath).select_related("estimate").order_by("pk")
    for entry in paging.every(entries_about(bath.pk).prefetch_related(Prefetch("bath_events", events))):
        for event in entry.bath_events.all():
            # a struck event has none: only what stands is replayed
            state = event.estimate.bath_state if hasattr(event, "estimate") else None
            figures = ("", "", "", "")
            if state:
                strength_sd, volume_sd = HALF_WIDTH_SDS * state.strength_sd_g_per_l, HALF_WIDTH_SDS * state.volume_sd_l
                told = (state.strength_g_per_l, strength_sd, state.volume_l, volume_sd)
                figures = tuple(round(figure, 3) for figure in told)
            yield (
                iso_minute(entry.happened_at, zone),
                iso_minute(entry.recorded_at, zone),
                entry.done_by.name,
                entry.kind,
                event.words,
                entry.note,
                *figures,
                "held out" if event.is_held_out else "",
                iso_minute(entry.struck_at, zone),
                entry.struck_by.name if entry.struck_by else "",
                entry.strike_reason,
            )


def entries_about(bath: int) -> EntryQuerySet:
    """Entries that wrote in this bath's log, or answered one of its readings."""
    of_the_log = BathEvent.objects.filter(bath=bath).values("entry")
    # an answer to a struck reading stays readable and is shown to have no effect
    struck = Answer.objects.filter(reading__bath=bath, reading__entry__struck_at__isnull=False)
    of_answers = Answer.objects.filter(reading__bath=bath).values("entry")
    return (
        Entry.objects.filter(Q(pk__in=of_the_log) | Q(pk__in=of_answers))
        .annotate(answers_a_struck_reading=Exists(struck.filter(entry=OuterRef("pk"))))
        .select_related("done_by", "struck_by")
    )


@asked_often
def newest_entries(bath: int) -> QuerySet[Entry]:
    return entries_about(bath).latest_first()[: LINES_A_PAGE + 1]


@asked_often
def events_of_entries(bath: int, entries: Collection[int]) -> "QuerySet[BathEvent, Any]":
    """What entries wrote in the log of a bath, each with whether it was answered."""
    answered = Exists(Answer.objects.standing().filter(reading=OuterRef("pk")))
    events = BathEvent.objects.filter(bath=bath, entry__in=entries).annotate(is_answered=answered).order_by("pk")
    return estimate.with_state_before(events)
