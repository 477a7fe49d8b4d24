"""The copper that deposits brought, worked out from what each came from."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from chemistry.bath.events import Removed
from chemistry.copper import deposition
from chemistry.waste import drum as sums
from chemistry.waste.drum import Known
from studio.baths import estimate
from studio.baths.models import BathEvent
from studio.cathodes import balance
from studio.waste import rinses
from studio.waste.models import Deposit

Source = Deposit.Source


class Brought(NamedTuple):
    """Copper in grams, and how dense the liquid is where its bath tells it; None where nobody knows."""

    copper_g: Known | None = None
    density_g_per_ml: Known | None = None


def brought_by(deposits: Iterable[Deposit]) -> dict[int, Brought]:
    """By the deposit's key, in three queries at most; what was poured over is left to the drum it came from."""
    listed = list(deposits)
    events = BathEvent.objects.select_related("estimate").in_bulk({each.event_id for each in listed if each.event_id})
    rinsed = rinses.brought_by([each for each in listed if each.source == Source.RINSE])
    return {each.pk: _brought(each, events, rinsed) for each in listed}


def _brought(each: Deposit, events: Mapping[int, BathEvent], rinsed: Mapping[int, Known | None]) -> Brought:
    if each.event_id:
        return _of_bath(each, events[each.event_id])
    if each.strip_id:
        return Brought(_of_strip(each))
    if each.source == Source.RINSE:
        return Brought(rinsed[each.pk])
    return Brought(None if each.copper_g is None else Known(each.copper_g, each.copper_sd_g or 0.0))


def _of_bath(each: Deposit, event: BathEvent) -> Brought:
    """Liquid at the strength of its bath then; of a spill what was taken up, of a strainer the powder as well."""
    state = estimate.load(event.estimate.state)
    if state is None:
        return Brought()
    removed = event.on_day(state.day)
    assert isinstance(removed, Removed)
    copper_g = sums.in_bath_removed(removed, state)
    if each.litres and removed.litres:
        copper_g = sums.of(copper_g, min(1.0, each.litres / removed.litres))
    if each.source == Source.STRAINED and each.mass_g:
        copper_g = sums.added(copper_g, sums.in_mud(each.mass_g))
    return Brought(copper_g, sums.bath_density(state.strength_g_per_l))


def _of_strip(each: Deposit) -> Known:
    assert each.strip
    if each.kind == "cathode_powder":
        powder = deposition.in_powder(each.strip.powder_g)
        return Known(powder.value, powder.sd or 0.0)
    return Known(*balance.metal(each.strip))
