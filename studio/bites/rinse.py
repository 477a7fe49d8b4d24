"""What plates carried out of the baths on their faces: it is all in the rinse."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from chemistry.copper import biting
from chemistry.working import Figure
from inventory.asked_often import asked_often
from studio.baths.models import BathEvent
from studio.baths.removals import removals_of, with_removal
from studio.bites.models import BiteStop


@dataclass(frozen=True)
class Carried:
    """Plates lifted out in some time, and what dripped off them: litres of bath, and copper in grams."""

    plates: int
    litres: float
    copper: Figure


def carried(*, since: datetime, until: datetime) -> Carried:
    # by the liquid of the bath: crystals on its floor do not drip
    drips = [removal for _, removal in removals_of(dripped(since, until))]
    copper = [biting.copper_in_drips(each.litres, each.strength) for each in drips]
    return Carried(plates=len(drips), litres=sum(each.litres.value for each in drips), copper=biting.all_drips(copper))


@asked_often
def dripped(since: datetime, until: datetime) -> QuerySet[BathEvent]:
    # without its end, or a bite on the stroke would drip into two spans
    stops = BiteStop.objects.standing().filter(entry__happened_at__gte=since, entry__happened_at__lt=until)
    return with_removal(BathEvent.objects.filter(entry__in=stops.filter(drips_ml__gt=0).values("entry")))
