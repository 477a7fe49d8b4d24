"""What the events of the book took out of baths: asked by drums, rinse tray and copper balance alike."""

from collections.abc import Collection, Iterable, Iterator
from typing import Any

from django.db.models import QuerySet

from chemistry.bath import BathState
from chemistry.bath.events import TakenOut
from chemistry.copper import removal
from chemistry.copper.biting import DRIPS
from chemistry.copper.removal import Removal
from inventory.asked_often import asked_often
from studio.baths import estimate
from studio.baths.kinds import POURED_OVER, SPILL, STRAINED, TAKEN_OUT
from studio.baths.models import BathEvent

NAMED_WAYS: dict[str, str] = {
    SPILL: "spilled",
    STRAINED: "strained",
    TAKEN_OUT: "taken out",
    POURED_OVER: "poured over",
}


def with_removal(events: QuerySet[BathEvent]) -> "QuerySet[BathEvent, Any]":
    """Those of some events that took something out, as `removals_of` wants them."""
    return estimate.with_state_before(events.filter(kind__in=BathEvent.TAKING).select_related("entry"))


@asked_often
def taken_by(events: Collection[int]) -> "QuerySet[BathEvent, Any]":
    return with_removal(BathEvent.objects.filter(pk__in=events))


@asked_often
def taken_in(entry: int) -> "QuerySet[BathEvent, Any]":
    return with_removal(BathEvent.objects.filter(entry=entry))


def removals_of(taking: Iterable[BathEvent]) -> Iterator[tuple[BathEvent, Removal]]:
    """Each with its event; those of a bath that nobody had read then are left out."""
    known = estimate.states_around(taking)
    return ((event, removal_by(event, before, after.day)) for event, before, after in known)


def removal_by(event: BathEvent, before: BathState | None, day: float) -> Removal:
    """What one event took out of its bath, which was read before it."""
    removed = event.on_day(day)
    assert before and isinstance(removed, TakenOut)
    # drips have no way out of their own: all that nobody poured, strained or spilled hung on plates
    alike = "" if event.entry.kind in NAMED_WAYS else DRIPS
    return removal.taken_out(
        removed,
        before,
        error=f"bath {event.bath_id}",
        litres_error=alike,
    )
