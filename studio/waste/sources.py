"""Deposits in one act with what they come from: a bath, a cathode, the shelf. Each is one entry in one transaction."""

import re
from dataclasses import replace

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.bath import TakenOut
from chemistry.measured import Measured, by_scale
from chemistry.waste import drum as sums
from inventory import book, ledger
from inventory.book import Signed
from inventory.models import Container, Entry, Material
from inventory.refusals import Questioned, Refused
from studio.baths import operations as baths
from studio.baths.models import Bath, BathEvent
from studio.bites.models import BiteStop
from studio.cathodes import operations as cathodes
from studio.cathodes.models import Cathode
from studio.pages.quantities import grams, litres
from studio.shelf.operations import refuse_uninducted_for
from studio.waste import kinds
from studio.waste.models import Deposit
from studio.waste.operations import DepositRequest, put_in

Source = Deposit.Source
DRAINS = re.compile(
    r"\b(sinks?|drains?|sewers?|toilets?|lavator\w+|loo|wc|basins?|gull(y|ies)|gutters?|soil|ground|garden|yard|lawn|"
    r"rivers?|streams?|ponds?|ditch(es)?)\b",
    re.IGNORECASE,
)
DRAINED = (
    gettext_lazy("Copper solution does not go into a sink, a drain or the ground."),
    gettext_lazy(
        "If it has not been poured yet, keep it: a drum, a pail with a lid. If it happened, tick here so that the book "
        "knows where the litres went, and report it as an incident next."
    ),
)
# the kinds of waste that each page may make; where the drum leaves it open, the first
GIVEN_UP_BATH = ("bath_spent", "rinse")
TOWELS = ("rags_copper", "bath_mud")
METAL, POWDER = ("cathode_copper",), ("cathode_powder", "bath_mud")
# what goes into a drum of its kind is this, unless it comes with its bath, cathode or jar
SOURCES = {
    "rinse": Source.RINSE,
    "cleaner_used": Source.CLEANER,
    "rags_copper": Source.TOWELS,
    "rags_solvent": Source.RAGS,
    "rags_drying_oil": Source.RAGS,
    "bath_mud": Source.MUD,
}


def kind_of_spill(*, is_bath: bool, is_solvent: bool, is_soaked: bool) -> str:
    """What a drum takes it for; empty for anything else than bath and solvent: whoever chooses the drum knows best."""
    if is_bath:
        return "rags_copper" if is_soaked else "bath_spent"
    if is_solvent:
        return "rags_solvent" if is_soaked else "solvent_spent"
    return ""


def plates_cleaned() -> int | None:
    """Plates bitten since the cleaner was last given up: each met it once, if not before its bite then after it."""
    cleaners = Deposit.objects.standing().filter(source=Source.CLEANER)
    since = cleaners.aggregate(last=Max("entry__happened_at"))["last"]
    stops = BiteStop.objects.standing()
    # none at all is no guess worth offering: the field stays empty
    return (stops.filter(entry__happened_at__gt=since) if since else stops).count() or None


@transaction.atomic
def strain(
    bath: Bath,
    *,
    litres_lost: float,
    crystals_g: float,
    by: Signed,
    into: DepositRequest | None = None,
    crystals_anyway: bool = False,
) -> Entry:
    """What stayed in the towel goes into a drum with it; into: the towel, and the powder in it, by weight."""
    entry = baths.strain(bath, litres_lost=litres_lost, crystals_g=crystals_g, by=by, crystals_anyway=crystals_anyway)
    if into:
        # one towel went in at least, where nobody put it on a scale
        towel = replace(into, source=Source.STRAINED, event=loss_of_bath(entry), pieces=1)
        put_in(
            replace(towel, words=_("%(amount)s strained out of %(bath)s") % {"amount": towel.amount, "bath": bath}),
            entry=entry,
        )
    return entry


@transaction.atomic
def take_out(
    bath: Bath,
    taken: TakenOut,
    *,
    by: Signed,
    where_to: str = "",
    into: DepositRequest | None = None,
    drained_anyway: bool = False,
) -> Entry:
    """
    Part of the bath is given up.

    What went down a drain is asked about once, and then written: a record that is refused is a record that is lost.
    """
    entry = baths.take_out(bath, taken, where_to=_("into %(drum)s") % {"drum": into.drum} if into else where_to, by=by)
    with entry.unless(drained_anyway):
        if not into and DRAINS.search(where_to):
            raise Questioned("drained_anyway", *map(str, DRAINED))
    if into:
        event = loss_of_bath(entry)
        poured = replace(into, source=Source.BATH, litres=event.taken_out, event=event)
        put_in(
            replace(poured, words=_("%(amount)s out of %(bath)s") % {"amount": poured.amount, "bath": bath}),
            entry=entry,
        )
    return entry


@transaction.atomic
def strip(
    cathode: Cathode,
    *,
    weight: Measured,
    by: Signed,
    is_dry: bool = True,
    powder_g: float = 0.0,
    unlikely_anyway: bool = False,
    metal_into: DepositRequest | None = None,
    powder_into: DepositRequest | None = None,
) -> Entry:
    """Copper comes off a cathode: the metal goes into the drum for metal, loose powder into one of its own."""
    entry = cathodes.strip(
        cathode, weight=weight, is_dry=is_dry, powder_g=powder_g, by=by, unlikely_anyway=unlikely_anyway
    )
    came_off = entry.strips.get()
    for put, mass_g in ((metal_into, came_off.mass_g), (powder_into, came_off.powder_g)):
        if put and mass_g:
            weighed = by_scale(mass_g, came_off.half_width_g)
            stripped = replace(put, source=Source.STRIP, strip=came_off, mass_g=weighed)
            put_in(
                replace(
                    stripped, words=_("%(amount)s off %(cathode)s") % {"amount": stripped.amount, "cathode": cathode}
                ),
                entry=entry,
            )
    return entry


def discard(container: Container, *, amount: int, into: DepositRequest, by: Signed) -> Entry:
    """Something off the shelf is given up: it leaves its container for the drum."""
    shown = container.material.show(amount)
    with book.entry(
        kinds.FILLED,
        _("Into %(drum)s: %(shown)s of %(container)s") % {"drum": into.drum, "shown": shown, "container": container},
        by,
    ) as entry:
        refuse_uninducted_for([container.material], by)
        words = _("%(shown)s of %(material)s") % {"shown": shown, "material": container.material}
        given_up = replace(
            into, source=Source.SHELF, container=container, words=words, **amount_for_drum(container, amount)
        )
        # the drum before the jar, as everywhere: two people at both could else wait for each other
        put_in(given_up, entry=entry)
        ledger.use(container, amount, entry=entry)
    return entry


def amount_for_drum(container: Container, amount: int) -> dict:
    """An amount of the shelf as a drum takes it."""
    dimension = container.material.dimension
    if dimension == Material.Dimension.VOLUME:
        return {"litres": sums.poured(litres(amount))}
    if dimension == Material.Dimension.MASS:
        return {"mass_g": sums.weighed(grams(amount))}
    return {"pieces": 1}


def loss_of_bath(entry: Entry) -> BathEvent:
    """What left the bath by an entry."""
    lost = entry.bath_events.filter(kind__in=BathEvent.TAKING).first()
    if lost is None:
        raise Refused("litres", _("Nothing left the bath by this."))
    return lost
