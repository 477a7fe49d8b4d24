"""What every emptied rinse tray holds: the drips off plates since the one before it, whichever drum it went into."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC, datetime

from django.db.models import Max

from chemistry.copper.removal import Removal
from studio.baths.models import BathEvent
from studio.baths.removals import NAMED_WAYS, removals_of
from studio.bites import rinse
from studio.bites.rinse import Carried
from studio.waste.models import Deposit

AT_FIRST = datetime.min.replace(tzinfo=UTC)


def brought_by(rinses: Sequence[Deposit]) -> dict[int, list[Removal]]:
    """The drips by the deposit's key, in two queries; a rinse without any in the book is left out."""
    if not rinses:
        return {}
    standing = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    moments = sorted(standing.values_list("entry__happened_at", "pk"))
    wanted = {moments.index((each.entry.happened_at, each.pk)): each.pk for each in rinses}
    first, last = min(wanted), max(wanted)
    since = moments[first - 1][0] if first else AT_FIRST
    between = BathEvent.objects.standing().filter(happened_at__gt=since, happened_at__lte=moments[last][0])
    # what left baths other than by a way that has a name
    dripped = between.filter(kind__in=BathEvent.TAKING).exclude(entry__kind__in=NAMED_WAYS)
    found: dict[int, list[Removal]] = defaultdict(list)
    for event, removal in removals_of(dripped):
        # the first rinse emptied after the drip took it along, into whichever drum
        place = bisect_left(moments, (event.happened_at, 0))
        if place in wanted:
            found[wanted[place]].append(removal)
    return found


def last_emptied_at() -> datetime | None:
    """When the rinse was last emptied into a drum."""
    rinses = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    return rinses.aggregate(last=Max("entry__happened_at"))["last"]


def in_the_tray(at: datetime) -> Carried:
    """What plates have carried into the rinse since it was last emptied."""
    return rinse.carried(since=last_emptied_at() or AT_FIRST, until=at)
