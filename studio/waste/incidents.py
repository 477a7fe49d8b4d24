"""Incidents: one report puts baths, shelf and drums right in one entry, and is struck as a whole."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from chemistry.measured import Measured, within
from chemistry.waste import drum as sums
from inventory import book, ledger
from inventory.book import Signed
from inventory.dates import day_of_year
from inventory.models import Change, Entry
from inventory.refusals import Refused
from studio.baths import operations as baths
from studio.baths.kinds import SPILL
from studio.baths.models import Bath, BathEvent
from studio.baths.salt import Portion
from studio.pages.action_items import ActionItem
from studio.waste import kinds
from studio.waste.models import Deposit, FollowUp, Incident
from studio.waste.operations import DepositRequest, put_in

WATERY = within(1.0, 1.2, "g/mL")  # from rinse water to a strong bath: own estimate


@transaction.atomic
def report(
    incident: Incident,
    *,
    by: Signed,
    bath: Bath | None = None,
    litres: float = 0.0,
    from_shelf: Sequence[tuple[str, Portion]] = (),
    into: DepositRequest | None = None,
) -> Entry:
    """
    What happened, and what it took.

    litres: of the bath, a guess. from_shelf: what was spilled or used up, each with the field it was typed in.
    into: what was taken up; of the bath so many litres, less than were spilled where some was lost.
    """
    # bath, drum, jars: in this order everybody locks them, or two people could wait for each other
    entry = baths.spill(bath, litres=litres, by=by) if bath else begin_report(incident, by)
    incident.entry = entry
    incident.save()
    if into:
        with beside("drum_amount"):
            event = entry.bath_events.filter(kind__in=BathEvent.TAKING).first()
            put_in(replace(into, source=Deposit.Source.SPILL, event=event), entry=entry)
    # in one order for everybody, or two people could each wait for the other's jar
    for field, portion in sorted(from_shelf, key=lambda one: (one[1].container.material_id, one[1].container.pk)):
        with beside(field):
            ledger.use(portion.container, portion.amount, entry=entry)
    return entry


def waiting() -> QuerySet[Incident]:
    """Reports of something that was taken up and is in no drum yet."""
    put = Deposit.objects.standing().filter(entry__follow_up__incident=OuterRef("pk"))
    return Incident.objects.standing().filter(~Exists(put), waits_for_drum=True)


def follow_up(
    incident: Incident, *, words: str, closes: bool = False, into: DepositRequest | None = None, by: Signed
) -> Entry:
    """What was done since; the last word closes it. into: the drum that what was taken up waited for."""
    said = _("Closed") if closes else _("Followed up")
    with book.entry(kinds.FOLLOWED_UP, f"{said}: {incident.entry}", by) as entry:
        # locked, or two people could close it at once
        # its entry is read once the lock is held: PostgreSQL would hand out the one of before the wait
        written = Incident.objects.select_for_update(of=("self",)).get(pk=incident.pk)
        if written.entry.is_struck:
            said = _("This report was struck: %(strike_reason)s.") % {"strike_reason": written.entry.strike_reason}
            raise Refused(None, said, ways=[(_("Why it was struck"), written.entry.get_absolute_url())])
        if entry.happened_at < written.entry.happened_at:
            raise Refused("happened_at", _("That was before it happened."))
        if closes and written.follow_ups.standing().filter(closes=True).exists():
            raise Refused(None, _("It is closed already."), ways=[(_("The report"), written.get_absolute_url())])
        FollowUp.objects.create(entry=entry, incident=written, words=words, closes=closes)
        if into:
            event = written.entry.bath_events.filter(kind__in=BathEvent.TAKING).first()
            with beside("drum_amount"):
                put_in(replace(into, source=Deposit.Source.SPILL, event=event), entry=entry)
    return entry


def action_items() -> Iterator[ActionItem]:
    """What waits for a drum, and reports that nobody has closed."""
    for each in waiting().select_related("entry").order_by("entry__happened_at", "pk"):
        words = _("%(day)s: %(gathered)s waits for a drum.")
        said = words % {"day": day_of_year(each.entry.happened_at), "gathered": each.gathered}
        url = reverse("waste:follow_up", args=[each.pk])
        yield ActionItem("act", _("in no drum"), said, _("Put it into a drum"), url)
    for each in Incident.objects.still_open().select_related("entry").order_by("entry__happened_at", "pk"):
        when = day_of_year(each.entry.happened_at)
        level = "act" if each.is_about_somebody else "look"
        said = f"{when}: {each.what_happened}"
        yield ActionItem(level, _("incident open"), said, _("Follow it up"), each.get_absolute_url(), is_private=True)


def took(incident: Incident) -> Iterator[Change]:
    """What an incident took from baths and shelf, and what went into drums."""
    entry = incident.entry
    for event in entry.bath_events.select_related("bath"):
        yield Change(str(event.bath), event.bath.get_absolute_url(), event.words)
    for movement in entry.movements.select_related("container__material"):
        container = movement.container
        yield Change(str(container), container.get_absolute_url(), container.material.signed(movement.amount))
    for deposit in entry.deposits.select_related("drum"):
        yield Change(str(deposit.drum), deposit.drum.get_absolute_url(), str(deposit))


def soaked(litres: float, absorbent_g: float, *, is_solvent: bool) -> Measured:
    """What granules weigh with the liquid in them. [g]"""
    density = sums.SOLVENT if is_solvent else WATERY
    # litres by grams in a millilitre are kilograms
    return sums.weighed(absorbent_g) + sums.poured(litres).times(density, "g") * sums.G_PER_KG


def begin_report(incident: Incident, by: Signed) -> Entry:
    kind = SPILL if incident.kind == Incident.Kind.SPILL else kinds.INCIDENT
    # closed at once: what the incident took is hung on it in the same transaction
    with book.entry(kind, str(incident), by) as entry:
        return entry


@contextmanager
def beside(field: str) -> Iterator[None]:
    """Let a refusal of an amount stand beside the field it was typed in."""
    try:
        yield
    except Refused as refusal:
        if refusal.field == "amount":
            refusal.field = field
        raise
