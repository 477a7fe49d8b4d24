"""What a bath is now: its standing events replayed, with readings the book does not believe held out."""

from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from chemistry import bath as bath_model
from chemistry.bath import BathState, Reading
from inventory.models import Entry
from studio.baths.models import Answer, Bath, BathEvent, Estimate

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Step:
    """One event and what the bath was after it; `far_off_sd` when the reading was held out."""

    event: BathEvent
    state: BathState | None
    far_off_sd: float | None = None


def log(bath: Bath) -> QuerySet[BathEvent]:
    """The standing events of a bath in the order of the book."""
    return BathEvent.objects.standing().filter(bath=bath).select_related("entry", "estimate").in_order()


def refresh(bath: Bath, written: Entry | None = None) -> None:
    """
    Raise the bath's revision and bring its estimates up to date. Call it with the bath's row locked.

    The replay resumes at the place of the entry that was written; without one the whole log is replayed.
    """
    before, events = _resuming(bath, written) if written and bath.estimate_is_current else (None, log(bath))
    bath.revision += 1
    if before:
        Estimate.objects.filter(pk__in=[event.pk for event in events if hasattr(event, "estimate")]).delete()
    else:
        Estimate.objects.filter(bath=bath).delete()
    fresh = _replay(bath, events, start=load(before.estimate.state) if before else None)
    Estimate.objects.bulk_create(
        Estimate(event=step.event, bath=bath, state=dump(step.state), far_off_sd=step.far_off_sd) for step in fresh
    )
    bath.estimated_revision, bath.estimated_model = bath.revision, bath_model.MODEL_VERSION
    bath.save(update_fields=["revision", "estimated_revision", "estimated_model"])


def carry_on(bath: Bath) -> None:
    """Raise the revision of a locked bath whose log stays as it was: its estimates stay as good as they were."""
    is_current = bath.estimate_is_current
    bath.revision += 1
    if is_current:
        bath.estimated_revision = bath.revision
    bath.save(update_fields=["revision", "estimated_revision"])


def steps(bath: Bath) -> list[Step]:
    """Every standing event with its state: read from the cache, replayed when a newer model has come."""
    if not bath.estimate_is_current:
        return list(_replay(bath, log(bath)))
    return [_kept(event) for event in log(bath)]


def step_of(event: BathEvent) -> Step | None:
    """One event with its state; None when its entry was struck."""
    if event.bath.estimate_is_current:
        kept = log(event.bath).filter(pk=event.pk).first()
        return _kept(kept) if kept else None
    return next((step for step in steps(event.bath) if step.event.pk == event.pk), None)


def at_moment(bath: Bath, moment: datetime | None = None) -> BathState | None:
    """The bath at a moment, dried on since the event before it; None while it was unread."""
    moment = moment or timezone.now()
    step = _step_before(bath, moment)
    if step is None or step.state is None:
        return None
    return bath_model.forecast(step.state, days=(moment - step.event.entry.happened_at) / ONE_DAY)


def unsound_baths() -> Iterator[Bath]:
    """Baths whose kept estimates differ from a fresh replay of their log."""
    for bath in Bath.objects.all():
        if not _cache_agrees(bath) and not _cache_agrees_at_rest(bath):
            yield bath


def dump(state: BathState | None) -> dict | None:
    return asdict(state) if state else None


def load(values: dict | None) -> BathState | None:
    if not values:
        return None
    covariance: Any = tuple(map(tuple, values["covariance"]))
    return BathState(
        day=values["day"],
        water_g=values["water_g"],
        salt_g=values["salt_g"],
        drying_factor=values["drying_factor"],
        hydrometer_offset=values["hydrometer_offset"],
        prior_g_per_day=values["prior_g_per_day"],
        covariance=covariance,
    )


def _replay(bath: Bath, events: Iterable[BathEvent], start: BathState | None = None) -> Iterator[Step]:
    began = log(bath).values_list("happened_at", flat=True).first() or timezone.now()
    state = start
    for event in events:
        step = _step(event, state, (event.entry.happened_at - began) / ONE_DAY)
        state = step.state
        yield step


def _step(event: BathEvent, state: BathState | None, day: float) -> Step:
    happened = event.on_day(day)
    if state is None and not happened.begins:
        return Step(event, None)
    if state is None or not isinstance(happened, Reading) or not bath_model.is_far_off(state, happened):
        return Step(event, bath_model.replay([happened], start=state)[-1])
    if _answer_to(event) == Answer.Choice.TRUST_READING:
        return Step(event, bath_model.trust(state, happened))
    waited = bath_model.forecast(state, days=day - state.day)
    return Step(event, waited, far_off_sd=abs(bath_model.expected(state, happened).difference_sd))


def _answer_to(reading: BathEvent) -> str | None:
    """The last standing answer to a reading that the book does not believe."""
    answers = reading.answers.standing().order_by("entry__happened_at", "entry_id")
    return answers.values_list("choice", flat=True).last()


def _kept(event: BathEvent) -> Step:
    return Step(event, load(event.estimate.state), event.estimate.far_off_sd)


def _step_before(bath: Bath, moment: datetime) -> Step | None:
    if not bath.estimate_is_current:
        return next((step for step in reversed(steps(bath)) if step.event.entry.happened_at <= moment), None)
    event = log(bath).filter(happened_at__lte=moment, estimate__isnull=False).last()
    return _kept(event) if event else None


def _resuming(bath: Bath, written: Entry) -> tuple[BathEvent | None, Iterable[BathEvent]]:
    """The event before those of an entry, whose estimate still stands, and the events from there on."""
    at = written.happened_at
    before = log(bath).filter(happened_at__lte=at).exclude(happened_at=at, entry_id__gte=written.pk).last()
    events = list(log(bath).filter(happened_at__gte=at).exclude(happened_at=at, entry_id__lt=written.pk))
    if before and any(event.entry_id == written.pk for event in events):
        return before, events
    return None, log(bath)  # it begins the log, or speaks of an earlier event as an answer does


def _cache_agrees_at_rest(bath: Bath) -> bool:
    """A second look, with the row locked: somebody may have written during the first."""
    with transaction.atomic():
        return _cache_agrees(Bath.objects.select_for_update().get(pk=bath.pk))


def _cache_agrees(bath: Bath) -> bool:
    if not bath.estimate_is_current:
        return True  # nobody reads it
    left_over = Estimate.objects.filter(bath=bath).exclude(event__entry__struck_at=None)
    return not left_over.exists() and all(_is_kept(step) for step in _replay(bath, log(bath).iterator()))


def _is_kept(step: Step) -> bool:
    event = step.event
    return event.happened_at == event.entry.happened_at and hasattr(event, "estimate") and _kept(event) == step
