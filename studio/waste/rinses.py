"""What every emptied rinse tray holds: the drips off plates since the one before it, whichever drum it went into."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC, datetime

from django.db.models import Max

from chemistry.bath.events import Removed
from chemistry.waste import drum as sums
from chemistry.waste.drum import Known
from studio.baths import estimate
from studio.baths.models import BathEvent
from studio.bites import rinse
from studio.bites.rinse import Carried
from studio.cathodes.balance import CARRIED_OUT
from studio.waste.models import Deposit

AT_FIRST = datetime.min.replace(tzinfo=UTC)


def brought_by(rinses: Sequence[Deposit]) -> dict[int, Known | None]:
    """
    By the deposit's key, in two queries; None where no drips are in the book, for nothing written down is not nothing.

    One studio drips alike, so the spreads of drips add up straight.
    """
    if not rinses:
        return {}
    moments = _moments()
    wanted = {_place(each, moments): each.pk for each in rinses}
    found: dict[int, list[Known]] = defaultdict(list)
    for at, copper_g in _drips(moments, wanted):
        place = bisect_left(moments, (at, 0))
        if place in wanted:
            found[wanted[place]].append(copper_g)
    return {each.pk: _together(found[each.pk]) for each in rinses}


def last_emptied_at() -> datetime | None:
    """When the rinse was last emptied into a drum."""
    rinses = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    return rinses.aggregate(last=Max("entry__happened_at"))["last"]


def in_the_tray(at: datetime) -> Carried:
    """What plates have carried into the rinse since it was last emptied."""
    return rinse.carried(since=last_emptied_at() or AT_FIRST, until=at)


def _moments() -> list[tuple[datetime, int]]:
    """When each rinse of the book was emptied, with its key, in order."""
    rinses = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    return sorted(rinses.values_list("entry__happened_at", "pk"))


def _place(rinse: Deposit, moments: Sequence[tuple[datetime, int]]) -> int:
    return moments.index((rinse.entry.happened_at, rinse.pk))


def _drips(moments: Sequence[tuple[datetime, int]], wanted: dict[int, int]) -> list[tuple[datetime, Known]]:
    """What left baths in the time of the wanted rinses, other than by a way that has a name."""
    first, last = min(wanted), max(wanted)
    since = moments[first - 1][0] if first else AT_FIRST
    removed = BathEvent.objects.standing().filter(kind=BathEvent.Kind.REMOVED, estimate__state__isnull=False)
    between = removed.filter(happened_at__gt=since, happened_at__lte=moments[last][0])
    events = between.exclude(entry__kind__in=CARRIED_OUT).select_related("estimate")
    return [(event.happened_at, _copper(event)) for event in events]


def _copper(event: BathEvent) -> Known:
    state = estimate.load(event.estimate.state)
    assert state
    removed = event.on_day(state.day)
    assert isinstance(removed, Removed)
    return sums.in_bath_removed(removed, state)


def _together(drips: Sequence[Known]) -> Known | None:
    if not drips:
        return None
    return Known(sum(each.value for each in drips), sum(each.sd for each in drips))
