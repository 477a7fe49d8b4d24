"""What a bath is now: its standing events replayed, with readings the book does not believe held out."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, Self

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from chemistry import bath as bath_model
from chemistry.bath import BathState, Reading
from inventory.asked_often import asked_often
from inventory.models import Entry
from studio.baths import event_log
from studio.baths.models import Answer, Bath, BathEvent, Estimate

ONE_DAY = timedelta(days=1)
SITTINGS_EVENTS = 26  # in which the last two times that anybody measured nearly always lie
TELLS_THE_LEVEL = (BathEvent.Kind.LEVEL_READ, BathEvent.Kind.ADOPTED)
LEAVES_THE_LEVEL = (BathEvent.Kind.DENSITY_READ, BathEvent.Kind.TITRATED, BathEvent.Kind.DRYING_RATE)


@dataclass(frozen=True)
class ReplayStep:
    """One event and what the bath was after it; `far_off_sd` when the reading was held out."""

    event: BathEvent
    state: BathState | None
    far_off_sd: float | None = None

    @classmethod
    def kept_of(cls, event: BathEvent) -> Self:
        return cls(event, event.estimate.bath_state, event.estimate.far_off_sd)


def log(bath: Bath | int) -> QuerySet[BathEvent]:
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
def states_after(event: int) -> "QuerySet[Estimate, dict[str, Any] | None]":
    return Estimate.objects.filter(event=event).values_list("state", flat=True)


@asked_often
def latest_events(bath: int) -> "QuerySet[BathEvent, Any]":
    """The latest first, each with whether somebody answered it."""
    answered = Exists(Answer.objects.standing().filter(reading=OuterRef("pk")))
    events = BathEvent.objects.standing().filter(bath=bath).annotate(is_answered=answered)
    return events.in_order().reverse()[:SITTINGS_EVENTS]


def refresh(bath: Bath, written: Entry | None = None) -> None:
    """
    Raise the bath's revision and bring its estimates up to date. Call it with the bath's row locked.

    The replay resumes at the place of the entry that was written; without one the whole log is replayed.
    """
    before: BathState | None = None
    events: Iterable[BathEvent] = log(bath)
    outdated: QuerySet[Estimate] | None = Estimate.objects.filter(bath=bath)
    if written and bath.estimate_is_current:
        at = written.happened_at
        last, following = last_before(bath.pk, at, written.pk), log_from(bath.pk, at, written.pk)
        # an entry without an event here begins the log, or speaks of an earlier event as an answer does
        if last and any(event.entry_id == written.pk for event in following):
            before, events = last[0].estimate.bath_state, following
            kept = [event.pk for event in following if hasattr(event, "estimate")]
            outdated = Estimate.objects.filter(pk__in=kept) if kept else None
    bath.revision += 1
    # stale estimates go first, or the bulk insert would meet their one-to-one keys
    if outdated is not None:
        outdated.delete()
    Estimate.objects.bulk_create(
        Estimate(
            event=step.event,
            bath=bath,
            state=event_log.state_to_json(step.state) if step.state else None,
            far_off_sd=step.far_off_sd,
        )
        for step in replayed(bath, events, start=before)
    )
    bath.estimated_revision, bath.estimated_model = bath.revision, bath_model.MODEL_VERSION
    bath.forgotten = what_was_forgotten(bath)
    bath.save(update_fields=["revision", "estimated_revision", "estimated_model", "forgotten"])


def what_was_forgotten(bath: Bath) -> dict[str, Any] | None:
    """What its last readings look like that nobody wrote down, as a bath keeps it; None where they fit the log."""
    latest = latest_events(bath.pk)[::-1]
    # what somebody has answered is settled, and what a log begins with explains all before it
    settled = [place for place, event in enumerate(latest) if event.is_answered or event.on_day(0).begins]
    latest = latest[max(settled, default=0) :]
    kept = states_after(latest[0].pk) if latest else [None]
    if not (state := kept[0] and event_log.state_from_json(kept[0])):
        return None
    at_first = latest[0].happened_at
    events = [event.on_day(state.day + (event.happened_at - at_first) / ONE_DAY) for event in latest[1:]]
    found = bath_model.forgotten(events, start=state)
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


def steps(bath: Bath, since: datetime | None = None) -> list[ReplayStep]:
    """
    Every standing event with its state: read from the cache, replayed when a newer model has come.

    since: those from a moment on, and the last one before it, without reading the years before.
    """
    events = log(bath)
    if not bath.estimate_is_current:
        return list(replayed(bath, events))
    before = events.filter(happened_at__lt=since).last() if since else None
    if before:
        events = events.filter(happened_at__gte=before.happened_at)
    return [ReplayStep.kept_of(event) for event in events]


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


def with_state_before(events: QuerySet[BathEvent]) -> Iterator[tuple[BathEvent, BathState, BathState]]:
    """Events with the bath before and after them, in one query; those of a bath that was unread then are left out."""
    earlier = Q(event__happened_at__lt=OuterRef("happened_at"))
    same_moment = Q(event__happened_at=OuterRef("happened_at"))
    earlier |= same_moment & Q(event__entry_id__lt=OuterRef("entry_id"))
    earlier |= same_moment & Q(event__entry_id=OuterRef("entry_id"), event_id__lt=OuterRef("pk"))
    before = Estimate.objects.filter(earlier, bath=OuterRef("bath"), event__entry__struck_at=None)
    in_order = before.order_by("-event__happened_at", "-event__entry_id", "-event_id")
    known = events.filter(estimate__state__isnull=False).select_related("estimate")
    rows: Any = known.annotate(state_before=Subquery(in_order.values("state")[:1]))
    for event in rows:
        if event.state_before:
            yield event, event_log.state_from_json(event.state_before), event.estimate.bath_state


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
    return all(
        step.event.happened_at == step.event.entry.happened_at
        and hasattr(step.event, "estimate")
        and ReplayStep.kept_of(step.event) == step
        for step in replayed(bath, log(bath).iterator())
    )


def replayed(bath: Bath, events: Iterable[BathEvent], start: BathState | None = None) -> Iterator[ReplayStep]:
    """Events of a log one by one, each with the bath after it; start: the bath before the first of them."""
    began = next(iter(beginning(bath.pk)), timezone.now())
    state = start
    for event in events:
        step = step_from(state, event, (event.entry.happened_at - began) / ONE_DAY)
        state = step.state
        yield step


def step_from(state: BathState | None, event: BathEvent, day: float) -> ReplayStep:
    """The bath after one more event; a reading it does not believe is held out until somebody trusts it."""
    happened = event.on_day(day)
    # an event before the first filling says nothing: there was no bath for it to happen to
    if state is None and not happened.begins:
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
