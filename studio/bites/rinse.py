"""What plates carried out of the baths on their faces: it is all in the rinse."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from chemistry.copper import biting
from chemistry.working import Figure
from studio.baths import estimate
from studio.baths.models import BathEvent
from studio.baths.operations import DRIP_SD_SHARE
from studio.bites.models import BiteStop

ML_PER_L = 1000


@dataclass(frozen=True)
class Carried:
    """Plates lifted out in some time, and what dripped off them: litres of bath, and copper in grams."""

    plates: int
    litres: float
    copper: Figure


def carried(*, since: datetime, until: datetime) -> Carried:
    """What the bites of some time brought into the rinse; one studio drips alike, so the spreads add up straight."""
    drips = list(_drips(since, until))
    total = biting.all_drips([copper for _, copper in drips])
    return Carried(plates=len(drips), litres=sum(litres for litres, _ in drips), copper=total)


def _drips(since: datetime, until: datetime) -> Iterator[tuple[float, Figure]]:
    stops = BiteStop.objects.standing().filter(entry__happened_at__gte=since, entry__happened_at__lt=until)
    litres_of = {entry: ml / ML_PER_L for entry, ml in stops.filter(drips_ml__gt=0).values_list("entry", "drips_ml")}
    removed = BathEvent.objects.filter(entry__in=litres_of, kind=BathEvent.Kind.REMOVED, estimate__state__isnull=False)
    for event in removed.select_related("estimate"):
        state = estimate.load(event.estimate.state)
        if state:
            litres = litres_of[event.entry_id]
            yield (
                litres,
                biting.copper_in_drips(
                    litres=litres,
                    litres_sd=DRIP_SD_SHARE * litres,
                    strength_g_per_l=state.strength_g_per_l,
                    strength_sd_g_per_l=state.strength_sd_g_per_l,
                ),
            )
