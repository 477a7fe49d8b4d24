"""The copper and the acid that deposits brought, worked out from what each came from."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import Q, QuerySet

from chemistry.copper.removal import Removal
from chemistry.measured import Measured, kept, total
from chemistry.waste import drum as sums
from inventory.asked_often import asked_often
from studio.baths.models import BathEvent
from studio.baths.removals import removals_of, taken_by, with_removal
from studio.waste import rinses
from studio.waste.models import Deposit

Source = Deposit.Source
WATERY, SOLVENT = sums.WATERY, sums.SOLVENT
# litres of anything else that is out of no bath tell no weight: how dense it is nobody knows
DENSITIES: Mapping[str, Measured] = {"rinse": WATERY, "cleaner_used": WATERY, "solvent_spent": SOLVENT}
NEUTRALISED = ("sludge",)
GUESSED_ALIKE = (Source.CLEANER, Source.TOWELS)


class Brought(NamedTuple):
    """
    What a deposit brought, litres and copper with the errors they share; None where nobody knows.

    acid_g: sulfuric acid as far as anybody said; most_acid_g_per_l: of the sourest liquid that came with it.
    acid_is_said: that is all of it.
    """

    litres: Measured | None = None
    mass_g: Measured | None = None
    copper_g: Measured | None = None
    acid_g: Measured | None = None
    most_acid_g_per_l: float = 0.0
    acid_is_said: bool = True


def brought_by(
    deposits: Iterable[Deposit], emptied: Iterable[tuple[datetime, int]] | None = None
) -> dict[int, Brought]:
    """
    By the deposit's key, in two queries at most; what was poured over is left to the drum it came from.

    emptied: when every rinse tray was, where that is known already.
    """
    listed = list(deposits)
    out_of_baths = {each.event_id for each in listed if each.event_id}
    trays = rinses.Trays([each for each in listed if each.source == Source.RINSE], emptied)
    if trays.meanwhile:
        taken = list(removals_of(taken_by_or_between(out_of_baths, *trays.meanwhile)))
    else:
        taken = list(removals_of(taken_by(out_of_baths))) if out_of_baths else []
    removals, rinsed = (
        {event.pk: removal for event, removal in taken if event.pk in out_of_baths},
        trays.drips_of(taken),
    )
    return {
        each.pk: brought_by_deposit(each, removals.get(each.event_id or 0), rinsed.get(each.pk, ())) for each in listed
    }


@asked_often
def taken_by_or_between(events: Collection[int], since: datetime, until: datetime) -> "QuerySet[BathEvent, Any]":
    """What some events took out, and all that stands of what left baths in some time."""
    meanwhile = Q(happened_at__gt=since, happened_at__lte=until, entry__struck_at=None)
    return with_removal(BathEvent.objects.filter(Q(pk__in=events) | meanwhile))


def brought_by_deposit(each: Deposit, removal: Removal | None, rinsed: Sequence[Removal]) -> Brought:
    """rinsed: the drips that a rinse took along."""
    litres = kept(each.litres, each.litres_sd, "L")
    mass_g = kept(each.mass_g, each.mass_sd_g, "g")
    density = removal.density if removal else DENSITIES.get(each.kind)
    # a weighing goes before what litres would weigh
    if mass_g is None and litres and density:
        mass_g = litres.times(density, "g") * sums.G_PER_KG
    if each.source == Source.RINSE:
        # nothing written down is not nothing
        copper_g = total((drip.copper for drip in rinsed), "g") if rinsed else None
    else:
        copper_g = copper_of_deposit(each, litres, removal)
    came = [removal] if removal else rinsed
    acids = [one.acid_in(litres) if removal and litres else one.acid for one in came]
    return Brought(
        litres,
        mass_g,
        copper_g,
        acid_g=total(acids, "g") if any(one.acid_strength.high for one in came) else None,
        most_acid_g_per_l=max((one.acid_strength.high for one in came), default=0.0),
        # of a bath that nobody had read, nobody had said; what was neutralised has none left
        acid_is_said=all(one.acid_is_known for one in came)
        and (bool(came) or not (each.event_id or each.bath_id) or each.kind in NEUTRALISED),
    )


def copper_of_deposit(each: Deposit, litres: Measured | None, removal: Removal | None) -> Measured | None:
    """Liquid at the strength of its bath then; of a spill what was taken up, of a strainer the powder as well."""
    if removal:
        copper = removal.copper_in(litres) if litres else removal.copper
        powder_g = each.mass_g if each.source == Source.STRAINED else None
        return copper + sums.in_mud(powder_g) if powder_g else copper
    # nobody had read that bath: its copper needs info, and no guess
    if each.event_id:
        return None
    if each.strip:
        return each.strip.copper_in_powder if each.kind == "cathode_powder" else each.strip.copper_in_metal
    # one guess served for all of them, so they are wrong alike
    alike = each.source if each.source in GUESSED_ALIKE else ""
    return None if each.copper_g is None else Measured(each.copper_g, each.copper_sd_g or 0.0, "g", error=alike)
