"""What every emptied rinse tray holds: the drips off plates since the one before it, whichever drum it went into."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from django.db.models import Max, QuerySet

from chemistry.copper.removal import Removal
from inventory.asked_often import asked_often
from studio.baths.models import BathEvent
from studio.baths.removals import NAMED_WAYS
from studio.bites import rinse
from studio.bites.rinse import Carried
from studio.waste.models import Deposit

AT_FIRST = datetime.min.replace(tzinfo=UTC)


class Trays:
    """Some of the trays that were emptied; moments: of all of them, which takes one query where nobody has asked."""

    def __init__(self, rinses: Sequence[Deposit], moments: Iterable[tuple[datetime, int]] | None = None):
        if moments is None:
            moments = every_rinse() if rinses else ()
        self.moments = sorted(moments)
        places = {pk: place for place, (_, pk) in enumerate(self.moments)}
        self.wanted = {places[each.pk]: each.pk for each in rinses}

    @property
    def meanwhile(self) -> tuple[datetime, datetime] | None:
        """When their drips left baths: from after a moment up to another; None where there are no trays."""
        if not self.wanted:
            return None
        first, last = min(self.wanted), max(self.wanted)
        return self.moments[first - 1][0] if first else AT_FIRST, self.moments[last][0]

    def drips_of(self, taken: Iterable[tuple[BathEvent, Removal]]) -> dict[int, list[Removal]]:
        """By the deposit's key; a tray without any in the book is left out."""
        found: dict[int, list[Removal]] = defaultdict(list)
        for event, removal in taken:
            # the first tray emptied after the drip took it along, into whichever drum
            place = bisect_left(self.moments, (event.happened_at, 0))
            # what left baths other than by a way that has a name
            if place in self.wanted and event.entry.struck_at is None and event.entry.kind not in NAMED_WAYS:
                found[self.wanted[place]].append(removal)
        return found


@asked_often
def every_rinse() -> "QuerySet[Deposit, tuple[datetime, int]]":
    standing = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    return standing.values_list("entry__happened_at", "pk")


def last_emptied_at() -> datetime | None:
    """When the rinse was last emptied into a drum."""
    rinses = Deposit.objects.standing().filter(source=Deposit.Source.RINSE)
    return rinses.aggregate(last=Max("entry__happened_at"))["last"]


def in_the_tray(at: datetime) -> Carried:
    """What plates have carried into the rinse since it was last emptied."""
    return rinse.carried(since=last_emptied_at() or AT_FIRST, until=at)
