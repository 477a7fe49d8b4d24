"""
What a bath is now: its standing events replayed, with readings the book does not believe held out.

What was poured from one bath into another is written once, as what left the first. What it brought the second is worked
out by a replay of both in the order of the book, so whatever is found out about the first later on holds for both.
"""

import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from heapq import merge
from operator import attrgetter
from typing import Any, NamedTuple, Self

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery, TextField
from django.db.models.functions import Cast, Coalesce
from django.utils import timezone

from chemistry import bath as bath_model
from chemistry.bath import BathState, Reading, TakenOut
from chemistry.copper import removal
from inventory.asked_often import asked_often
from inventory.models import Entry
from studio.baths import event_log
from studio.baths.models import Answer, Bath, BathEvent, Estimate

ONE_DAY = timedelta(days=1)
SITTINGS_EVENTS = 26  # in which the last two times that anybody measured nearly always lie
TELLS_THE_LEVEL = (BathEvent.Kind.LEVEL_READ, BathEvent.Kind.ADOPTED)
LEAVES_THE_LEVEL = (BathEvent.Kind.DENSITY_READ, BathEvent.Kind.TITRATED, BathEvent.Kind.DRYING_RATE)
POURED_IN = BathEvent.Kind.POURED_IN
IN_ORDER = attrgetter("happened_at", "entry_id", "pk")


class Place(NamedTuple):
    """Where an entry stands in the book, by when it happened and then by when it was written."""

    at: datetime
    entry: int


BEGINNING = Place(datetime.min.replace(tzinfo=UTC), 0)


@dataclass(frozen=True)
class ReplayStep:
    """One event and what the bath was after it; `far_off_sd` when the reading was held out."""

    event: BathEvent
    state: BathState | None
    far_off_sd: float | None = None

    @classmethod
    def kept_of(cls, event: BathEvent) -> Self:
        return cls(event, event.estimate.bath_state, event.estimate.far_off_sd)


def log(bath: Bath | int | OuterRef) -> QuerySet[BathEvent]:
    """The standing events of a bath in the order of the book."""
    return BathEvent.objects.standing().filter(bath=bath).select_related("entry", "estimate").in_order()


@asked_often
def last_before(bath: int, at: datetime, entry: int) -> QuerySet[BathEvent]:
    """The last event of a log before the place of an entry."""
    return log(bath).filter(happened_at__lte=at).exclude(happened_at=at, entry_id__gte=entry).reverse()[:1]


@asked_often
def log_from(bath: int, at: datetime, entry: int) -> QuerySet[BathEvent]:
    return log(bath).filter(happened_at__gte=at).exclude(happened_at=at, entry_id__lt=entry)


@asked_often
def last_estimated(bath: int, at: datetime) -> QuerySet[BathEvent]:
    return log(bath).filter(happened_at__lte=at, estimate__isnull=False).reverse()[:1]


@asked_often
def beginning(bath: int) -> QuerySet[BathEvent, datetime]:
    return log(bath).values_list("happened_at", flat=True)[:1]


@asked_often
def latest_events(bath: int) -> "QuerySet[BathEvent, Any]":
    """The latest first, each with whether somebody answered it."""
    answered = Exists(Answer.objects.standing().filter(reading=OuterRef("pk")))
    # with what was kept of each, which tells what a pour brought
    events = BathEvent.objects.standing().filter(bath=bath).annotate(is_answered=answered).select_related("estimate")
    return events.in_order().reverse()[:SITTINGS_EVENTS]


@asked_often
def pours_out_of(bath: int, at: datetime, entry: int) -> "QuerySet[BathEvent, tuple[int, datetime, int]]":
    """Into which baths one was poured since a place in the book, and where that stands."""
    poured = BathEvent.objects.standing().filter(bath=bath, happened_at__gte=at, entry__bath_events__kind=POURED_IN)
    poured = poured.exclude(happened_at=at, entry_id__lt=entry)
    return poured.values_list("entry__bath_events__bath", "happened_at", "entry_id")


def reached_from(places: Mapping[int, Place]) -> dict[int, Place]:
    """
    Baths of which something changes from a place in the book on, and those into which they were poured since.

    Each with the place from where on it changes; a pour to and fro is followed until nothing moves further back.
    """
    reached, waiting = dict(places), list(places)
    while waiting:
        source = waiting.pop()
        for into, at, entry in pours_out_of(source, *reached[source]):
            place = Place(at, entry)
            if into not in reached or place < reached[into]:
                reached[into] = place
                waiting.append(into)
    return reached


@dataclass(frozen=True, kw_only=True)
class Log:
    """What of a bath is to be replayed: its events from a place on, and what it was before them."""

    bath: int
    events: Iterable[BathEvent]
    start: BathState | None = None
    is_whole: bool = True


def whole_log(bath: int) -> Log:
    return Log(bath=bath, events=log(bath))


def log_since(bath: int, place: Place) -> Log:
    """From a place on where what is kept before it can be read on from, else from the beginning."""
    last = last_before(bath, *place) if place != BEGINNING else []
    if not last:
        return whole_log(bath)
    return Log(bath=bath, events=log_from(bath, *place), start=last[0].estimate.bath_state, is_whole=False)


def place_of(entry: Entry) -> Place:
    return Place(entry.happened_at, entry.pk)


def changed_from(struck: Entry) -> Place:
    """From where on a bath is another without an entry: from there, or from the reading that it answered."""
    answer = Answer.objects.filter(entry=struck).select_related("reading__entry").first()
    return place_of(answer.reading.entry if answer else struck)


def refresh(baths: Iterable[Bath], place: Place = BEGINNING) -> None:
    """
    Raise the revision of baths, and of those into which they were poured, and bring their estimates up to date.

    Call it with the rows of all of them locked. place: from where on something has changed.
    """
    known = {bath.pk: bath for bath in baths}
    places, changed = dict[int, Place](), dict.fromkeys(known, place)
    while changed != places:
        places = reached_from(changed)
        known |= Bath.objects.select_for_update(of=("self",)).in_bulk(places.keys() - known.keys())
        # what is kept of one by another model is nothing to resume from
        changed = places | {pk: BEGINNING for pk in places if not known[pk].estimate_is_current}
    logs = {pk: log_since(pk, at) for pk, at in places.items()}
    whole = [pk for pk, each in logs.items() if each.is_whole]
    resumed = [event.pk for each in logs.values() if not each.is_whole for event in each.events if is_kept(event)]
    steps = [step for step in replayed(with_sources(logs.values())) if step.event.bath_id in logs]
    # stale estimates go first, or the bulk insert would meet their one-to-one keys
    if whole or resumed:
        Estimate.objects.filter(Q(bath__in=whole) | Q(pk__in=resumed)).delete()
    Estimate.objects.bulk_create(
        Estimate(
            event=step.event,
            bath_id=step.event.bath_id,
            state=event_log.state_to_json(step.state) if step.state else None,
            far_off_sd=step.far_off_sd,
            brought=brought_to_json(step.event),
        )
        for step in steps
    )
    for _, bath in sorted(known.items()):
        bath.revision += 1
        bath.estimated_revision, bath.estimated_model = bath.revision, bath_model.MODEL_VERSION
        bath.forgotten = what_was_forgotten(bath)
        bath.save(update_fields=["revision", "estimated_revision", "estimated_model", "forgotten"])


def is_kept(event: BathEvent) -> bool:
    return hasattr(event, "estimate")


def brought_to_json(event: BathEvent) -> dict[str, Any] | None:
    if event.kind != POURED_IN or not event.brought:
        return None
    figures = event_log.figures_of(event.brought)
    return {"kind": type(event.brought).__name__, "figures": figures, "schema": event_log.SCHEMA}


def what_was_forgotten(bath: Bath) -> dict[str, Any] | None:
    """What its last readings look like that nobody wrote down, as a bath keeps it; None where they fit the log."""
    latest = latest_events(bath.pk)[::-1]
    # what somebody has answered is settled, and what a log begins with explains all before it
    happened = [event.event for event in latest]
    settled = [
        place
        for place, (event, what) in enumerate(zip(latest, happened, strict=True))
        if event.is_answered or what is None or what.begins
    ]
    latest = latest[max(settled, default=0) :]
    state = latest[0].estimate.bath_state if latest else None
    if state is None:
        return None
    at_first = latest[0].happened_at
    dated = [event.on_day(state.day + (event.happened_at - at_first) / ONE_DAY) for event in latest[1:]]
    found = bath_model.forgotten([event for event in dated if event], start=state)
    if found is None:
        return None
    after, before = (at_first + (day - state.day) * ONE_DAY for day in (found.after_day, found.before_day))
    return {
        "what": found.what,
        "litres": found.litres.value,
        "sd_l": found.litres.sd,
        "after": after.isoformat(),
        "before": before.isoformat(),
    }


def carry_on(bath: Bath) -> None:
    """Raise the revision of a locked bath whose log stays as it was: its estimates stay as good as they were."""
    # asked before the revision moves, which would make every estimate look stale
    is_current = bath.estimate_is_current
    bath.revision += 1
    if is_current:
        bath.estimated_revision = bath.revision
    bath.save(update_fields=["revision", "estimated_revision"])


def steps(bath: Bath) -> list[ReplayStep]:
    """Every standing event with its state: read from the cache, replayed when a newer model has come."""
    if not bath.estimate_is_current:
        found = replayed(with_sources([whole_log(bath.pk)]))
        return [step for step in found if step.event.bath_id == bath.pk]
    return [ReplayStep.kept_of(event) for event in log(bath)]


@dataclass(frozen=True)
class CourseStep:
    """
    An event as a drawing of many goes by it; its figures and the state after it are read where they are drawn.

    values, kept: those of event and estimate, as text.
    """

    at: datetime
    kind: str
    entry_kind: str
    far_off_sd: float | None
    values: str
    schema: int
    kept: str | None

    @classmethod
    def of(cls, step: ReplayStep) -> Self:
        event, kept = step.event, json.dumps(event_log.state_to_json(step.state)) if step.state else None
        values = json.dumps(event.values)
        return cls(event.happened_at, event.kind, event.entry.kind, step.far_off_sd, values, event.schema, kept)

    @property
    def is_known(self) -> bool:
        return self.kept is not None

    @cached_property
    def event(self) -> BathEvent:
        return BathEvent(kind=self.kind, values=json.loads(self.values), schema=self.schema)

    @cached_property
    def state(self) -> BathState | None:
        return event_log.state_from_json(json.loads(self.kept)) if self.kept else None


def course(bath: Bath, since: datetime) -> list[CourseStep]:
    """The standing events of a bath from a moment on, and the last one before it."""
    if bath.estimate_is_current:
        return [CourseStep(*row) for row in course_kept(bath.pk, since)]
    every = list(map(CourseStep.of, steps(bath)))
    first = next((place for place, step in enumerate(every) if step.at >= since), len(every))
    return every[max(first - 1, 0) :]


@asked_often
def course_kept(bath: int, since: datetime) -> "QuerySet[BathEvent, Any]":
    before = log(bath).filter(happened_at__lt=since).reverse().values("happened_at")
    events = log(bath).filter(happened_at__gte=Coalesce(Subquery(before[:1]), since))
    # as text: of many events few are drawn, and each state is a page of figures
    texts = [Cast(name, TextField()) for name in ("values", "estimate__state")]
    return events.values_list(
        "happened_at", "kind", "entry__kind", "estimate__far_off_sd", texts[0], "schema", texts[1]
    )


def steps_of_baths(baths: Iterable[Bath]) -> dict[int, list[ReplayStep]]:
    """All that ever happened to baths, by their keys; in one query for all that are as this model has them."""
    found: dict[int, list[ReplayStep]] = {bath.pk: [] if bath.estimate_is_current else steps(bath) for bath in baths}
    current = [pk for pk, log in found.items() if not log]
    events = BathEvent.objects.standing().filter(bath__in=current).select_related("entry", "estimate")
    for event in events.in_order():
        found[event.bath_id].append(ReplayStep.kept_of(event))
    return found


def step_of(event: BathEvent) -> ReplayStep | None:
    """One event with its state; None when its entry was struck."""
    if event.bath.estimate_is_current:
        kept = log(event.bath).filter(pk=event.pk).first()
        return ReplayStep.kept_of(kept) if kept else None
    return next((step for step in steps(event.bath) if step.event.pk == event.pk), None)


def at_moment(bath: Bath, moment: datetime | None = None) -> BathState | None:
    """The bath at a moment, dried on since the event before it; None while it was unread."""
    moment = moment or timezone.now()
    step: ReplayStep | None = None
    if bath.estimate_is_current:
        # one row is read, however long the log; a replay of a year would cost every page that asks
        step = next(map(ReplayStep.kept_of, last_estimated(bath.pk, moment)), None)
    else:
        step = next((step for step in reversed(steps(bath)) if step.event.entry.happened_at <= moment), None)
    if step is None or step.state is None:
        return None
    return bath_model.forecast(step.state, days=(moment - step.event.entry.happened_at) / ONE_DAY)


def with_state_before(events: QuerySet[BathEvent]) -> "QuerySet[BathEvent, Any]":
    """Events with what is kept of the bath before and after them."""
    at_once = Q(happened_at=OuterRef("happened_at"))
    not_before = at_once & Q(entry__gt=OuterRef("entry"))
    not_before |= at_once & Q(entry=OuterRef("entry"), pk__gte=OuterRef("pk"))
    # by the moment first, which is what an index leads to
    until = log(OuterRef("bath")).filter(happened_at__lte=OuterRef("happened_at"), estimate__isnull=False)
    before = until.exclude(not_before).reverse().values("estimate__state")
    return events.select_related("estimate").annotate(state_before=Subquery(before[:1]))


def states_around(events: Iterable[Any]) -> Iterator[tuple[BathEvent, BathState, BathState]]:
    """events: `with_state_before`; those before or after which the bath was unread are left out."""
    for event in events:
        if event.state_before and (after := event.estimate.bath_state if hasattr(event, "estimate") else None):
            yield event, event_log.state_from_json(event.state_before), after


def level_is_fresh(bath: Bath, now: datetime) -> bool:
    """Whether its level was measured within a day and nothing went in or came out since; a lid moves none."""
    telling = log(bath).exclude(kind__in=LEAVES_THE_LEVEL).filter(happened_at__lte=now).last()
    if telling is None or telling.kind not in TELLS_THE_LEVEL or telling.is_held_out:
        return False
    return now - telling.happened_at <= ONE_DAY


def unsound_baths() -> Iterator[Bath]:
    """Baths whose kept estimates differ from a fresh replay of their log."""
    for bath in Bath.objects.all():
        if cache_agrees(bath):
            continue
        # somebody may have written during the first look: the second one has the row locked
        with transaction.atomic():
            agrees = cache_agrees(Bath.objects.select_for_update().get(pk=bath.pk))
        if not agrees:
            yield bath


def cache_agrees(bath: Bath) -> bool:
    """Whether every estimate that is kept and read is the one that a fresh replay gives."""
    if not bath.estimate_is_current:
        return True
    if Estimate.objects.filter(bath=bath).exclude(event__entry__struck_at=None).exists():
        return False
    # by what is kept of the baths that were poured into it: each of them is looked at by itself
    whole = Log(bath=bath.pk, events=log(bath).iterator())
    return all(
        step.event.happened_at == step.event.entry.happened_at
        and is_kept(step.event)
        and ReplayStep.kept_of(step.event) == step
        and step.event.estimate.brought == brought_to_json(step.event)
        for step in replayed(with_sources([whole]))
        if step.event.bath_id == bath.pk
    )


def with_sources(logs: Iterable[Log]) -> list[Log]:
    """And the logs of those that were poured into them, where nothing current is kept of one."""
    found = list(logs)
    beside = {each.bath for each in found}
    for each in found:
        if not each.is_whole and all(event.kind != POURED_IN for event in each.events):
            continue
        into = BathEvent.objects.standing().filter(bath=each.bath, kind=POURED_IN).values("entry")
        for source in Bath.objects.filter(events__entry__in=into).exclude(pk__in=beside).distinct():
            if not source.estimate_is_current:
                beside.add(source.pk)
                found.append(whole_log(source.pk))
    return found


@dataclass
class Pours:
    """
    What left one bath for another: by a log that is replayed beside, else by what is kept of the one it left.

    left: by its entry, as it was taken out on the day of the one it left, and that bath before it; None while unread.
    """

    into: Collection[int]
    left: dict[int, tuple[TakenOut, BathState] | None] = field(default_factory=dict)
    kept_is_read: bool = False

    def leaves(self, event: BathEvent, before: BathState | None, day: float) -> None:
        taken = event.on_day(day)
        if isinstance(taken, TakenOut):
            self.left[event.entry_id] = (taken, before) if before else None

    def arrives(self, event: BathEvent, before: BathState | None) -> "bath_model.Event | None":
        """before: the bath that it goes into."""
        if event.entry_id not in self.left and not self.kept_is_read:
            self.left, self.kept_is_read = {**self.kept(), **self.left}, True
        poured = self.left.get(event.entry_id)
        return removal.poured_into(*poured, before) if poured else None

    def kept(self) -> dict[int, tuple[TakenOut, BathState] | None]:
        """In one query, however many there were."""
        entries = BathEvent.objects.standing().filter(bath__in=self.into, kind=POURED_IN).values("entry")
        taken = states_around(with_state_before(BathEvent.objects.filter(entry__in=entries, kind__in=BathEvent.TAKING)))
        return {event.entry_id: (event.on_day(after.day), before) for event, before, after in taken}  # type: ignore[misc]  # taken out: never unread


def replayed(logs: Iterable[Log]) -> Iterator[ReplayStep]:
    """Events of logs one by one in the order of the book, each with its bath after it."""
    logs = list(logs)
    states = {each.bath: each.start for each in logs}
    began = {each.bath: next(iter(beginning(each.bath)), timezone.now()) for each in logs}
    pours = Pours(states.keys())
    for event in merge(*(each.events for each in logs), key=IN_ORDER):
        before, day = states[event.bath_id], (event.entry.happened_at - began[event.bath_id]) / ONE_DAY
        if event.kind == POURED_IN:
            event.brought = pours.arrives(event, before)
        elif event.kind in BathEvent.TAKING:
            pours.leaves(event, before, day)
        step = step_from(before, event, day)
        states[event.bath_id] = step.state
        yield step


def step_from(state: BathState | None, event: BathEvent, day: float) -> ReplayStep:
    """The bath after one more event; a reading it does not believe is held out until somebody trusts it."""
    happened = event.on_day(day)
    # an event before the first filling says nothing: there was no bath for it to happen to; and of one into which
    # something unknown was poured nothing is known until it is begun anew
    if happened is None or (state is None and not happened.begins):
        return ReplayStep(event, None)
    if state is None or not isinstance(happened, Reading) or not bath_model.is_far_off(state, happened):
        return ReplayStep(event, bath_model.replay([happened], start=state)[-1])
    answers = event.answers.standing().order_by("entry__happened_at", "entry_id")
    if answers.values_list("choice", flat=True).last() == Answer.Choice.TRUST_READING:
        return ReplayStep(event, bath_model.trust(state, happened))
    # held out is not ignored: the water goes on drying until somebody answers
    # on that very day: a + (b - a) may be a hair after b, and the next line of the same moment would go back
    waited = replace(bath_model.forecast(state, days=day - state.day), day=day)
    return ReplayStep(event, waited, far_off_sd=abs(bath_model.expected(state, happened).difference_sd))
