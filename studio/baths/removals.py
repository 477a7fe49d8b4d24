"""What the events of the book took out of baths: asked by drums, rinse tray and copper balance alike."""

from django.db.models import OuterRef, Q, QuerySet, Subquery

from chemistry.bath import BathState
from chemistry.bath.events import TakenOut
from chemistry.copper import removal
from chemistry.copper.biting import DRIPS
from chemistry.copper.removal import Removal
from studio.baths import event_log
from studio.baths.kinds import SPILL, STRAINED, TAKEN_OUT
from studio.baths.models import BathEvent, Estimate

NAMED_WAYS: dict[str, str] = {SPILL: "spilled", STRAINED: "strained", TAKEN_OUT: "taken out"}


def removals_of(events: QuerySet[BathEvent]) -> dict[int, Removal]:
    """By the event's key, in one query; those of a bath that nobody had read then are left out."""
    earlier = Q(event__happened_at__lt=OuterRef("happened_at"))
    same_moment = Q(event__happened_at=OuterRef("happened_at"))
    earlier |= same_moment & Q(event__entry_id__lt=OuterRef("entry_id"))
    earlier |= same_moment & Q(event__entry_id=OuterRef("entry_id"), event_id__lt=OuterRef("pk"))
    # the state after an event does not tell what it took where more was poured than the book had
    before = Estimate.objects.filter(earlier, bath=OuterRef("bath"), event__entry__struck_at=None)
    in_order = before.order_by("-event__happened_at", "-event__entry_id", "-event_id")
    taking = events.filter(kind__in=BathEvent.TAKING, estimate__state__isnull=False)
    rows = taking.select_related("entry", "estimate").annotate(before=Subquery(in_order.values("state")[:1]))
    removals = {}
    for event in rows:
        after = event.estimate.bath_state
        assert after
        removals[event.pk] = removal_by(event, event_log.state_from_json(event.before), after.day)
    return removals


def removal_by(event: BathEvent, before: BathState | None, day: float) -> Removal:
    """What one event took out of its bath, which was read before it."""
    removed = event.on_day(day)
    assert before and isinstance(removed, TakenOut)
    # drips have no way out of their own: all that nobody poured, strained or spilled hung on plates
    alike = "" if event.entry.kind in NAMED_WAYS else DRIPS
    return removal.taken_out(removed, before, error=f"bath {event.bath_id}", litres_error=alike)
