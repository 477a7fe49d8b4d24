"""How a cathode stands at a moment: what lies on it by the current, how thick, and when it is to be stripped."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from math import inf

from django.utils import timezone

from chemistry import deposit
from chemistry.bath_figures import Span
from chemistry.deposit import Charge
from chemistry.working import Figure
from studio.baths.models import Bath
from studio.bites.models import BiteStop
from studio.cathodes import growth, hangings
from studio.cathodes.growth import Base, Bite, Checked, Growth
from studio.cathodes.hangings import Moment, Stay
from studio.cathodes.models import Cathode, CathodeWeighing, Sheet, Strip

ONE_DAY = timedelta(days=1)
LEARNED_FROM = timedelta(days=730)  # older weighings teach nothing of the bath as it is now
LATELY = timedelta(days=90)  # the rate of these days is that of the days to come: own estimate
STRIP_SOON = timedelta(days=7)

Event = CathodeWeighing | Strip


@dataclass(frozen=True, kw_only=True)
class Standing:
    """A cathode with its sheet, where it hangs, and the copper on it at the moment `at`."""

    cathode: Cathode
    sheet: Sheet
    at: datetime
    stay: Stay | None
    growth: Growth
    lately: Sequence[Bite]
    lately_days: float
    unread: int = 0

    @property
    def bath(self) -> Bath | None:
        return self.stay.bath if self.stay else None

    @property
    def deposit(self) -> Figure:
        return self.growth.running.predicted

    @property
    def efficiency(self) -> Figure:
        return self.growth.running.efficiency

    @property
    def checked(self) -> Sequence[Checked]:
        return self.growth.checked

    @property
    def last(self) -> Checked | None:
        """The last weighing or strip."""
        return self.checked[-1] if self.checked else None

    @cached_property
    def thickness(self) -> Figure:
        return deposit.thickness(self.deposit, facing_cm2=self.sheet.facing_cm2)

    @cached_property
    def gap_loss(self) -> Figure | None:
        gap_mm = self.sheet.gap_mm
        return deposit.gap_loss(self.thickness, gap_mm=gap_mm) if gap_mm else None

    @cached_property
    def strip_at_g(self) -> float:
        """Whichever comes first: the set thickness, or lumps that take their share of the gap."""
        return min(self._at_thickness_g, self._at_gap_loss_g)

    @property
    def lumps_come_first(self) -> bool:
        return self._at_gap_loss_g < self._at_thickness_g

    @property
    def _at_thickness_g(self) -> float:
        return deposit.grams_at_thickness(self.sheet.strip_at_um, facing_cm2=self.sheet.facing_cm2)

    @property
    def _at_gap_loss_g(self) -> float:
        sheet = self.sheet
        if not (sheet.gap_mm and sheet.most_loss_percent):
            return inf
        return deposit.grams_at_gap_loss(sheet.most_loss_percent, gap_mm=sheet.gap_mm, facing_cm2=sheet.facing_cm2)

    @property
    def is_due(self) -> bool:
        return self.deposit.value >= self.strip_at_g

    @cached_property
    def rate(self) -> Figure:
        charges = [bite.charge for bite in self.lately]
        return deposit.rate(charges, days=self.lately_days, efficiency=self.efficiency)

    @cached_property
    def span(self) -> Span | None:
        """Days until the next strip; None while it hangs in no bath, or in one at rest."""
        if self.stay is None:
            return None
        return deposit.span_until(self.deposit, grams=self.strip_at_g, rate=self.rate, days=self.lately_days)

    @property
    def is_due_soon(self) -> bool:
        return not self.is_due and self.span is not None and self.span.days <= STRIP_SOON / ONE_DAY


def all_of_them(at: datetime | None = None) -> list[Standing]:
    return of(list(Cathode.objects.standing().select_related("entry")), at)


def at_moment(cathode: Cathode, at: datetime) -> Standing | None:
    """One cathode at a moment; None before it was hung."""
    standing = of([Cathode.objects.select_related("entry").get(pk=cathode.pk)], at)
    return standing[0] if standing else None


def of(cathodes: Sequence[Cathode], at: datetime | None = None) -> list[Standing]:
    """How cathodes stand at a moment, in six queries however many they are; those hung later are left out."""
    at = at or timezone.now()
    known = [cathode for cathode in cathodes if cathode.entry.happened_at <= at]
    sheets = _latest_sheets(known)
    events = _events(known, at)
    stays = hangings.stays(at) if known else []
    bases = {cathode.pk: _base(cathode, sheets[cathode.pk], events[cathode.pk], at) for cathode in known}
    since = min([base.since.at for base in bases.values()] + [at - LATELY])
    baths = {stay.bath.pk for stay in stays if stay.cathode_id in bases}
    bites = growth.bites_in(baths, since=since, until=at) if baths else []
    unread = _unread(baths, since, at) if baths else []
    return [
        _standing(
            cathode,
            sheets[cathode.pk],
            bases[cathode.pk],
            events[cathode.pk],
            stays,
            growth.on_cathode(bites, stays, cathode.pk),
            growth.on_cathode(unread, stays, cathode.pk),
            at,
        )
        for cathode in known
    ]


def _standing(
    cathode: Cathode,
    sheet: Sheet,
    base: Base,
    events: Sequence[Event],
    stays: Sequence[Stay],
    bites: Sequence[Bite],
    unread: Sequence[Bite],
    at: datetime,
) -> Standing:
    later = [event for event in events if Moment.of(event.entry) > base.since]
    grown = growth.replay(sheet, base, later, bites)
    own = [stay for stay in stays if stay.cathode_id == cathode.pk]
    first = own[0].since.at if own else at
    lately = max(at - LATELY, first)
    return Standing(
        cathode=cathode,
        sheet=sheet,
        at=at,
        stay=next((stay for stay in own if stay.until is None), None),
        growth=grown,
        lately=[bite for bite in bites if bite.moment.at >= lately],
        lately_days=max(1.0, (at - lately) / ONE_DAY),
        unread=sum(bite.moment >= grown.running.base.since for bite in unread),
    )


def _latest_sheets(cathodes: Sequence[Cathode]) -> dict[int, Sheet]:
    """What was measured last holds for all of the past: a figure put right was wrong all the time."""
    sheets = Sheet.objects.standing().filter(cathode__in=cathodes).select_related("entry")
    return {sheet.cathode_id: sheet for sheet in sheets.order_by("entry__happened_at", "entry_id")}


def _events(cathodes: Sequence[Cathode], at: datetime) -> dict[int, list[Event]]:
    found: dict[int, list[Event]] = {cathode.pk: [] for cathode in cathodes}
    for model in (CathodeWeighing, Strip) if cathodes else ():
        written = model.objects.standing().filter(cathode__in=cathodes, entry__happened_at__lte=at)
        for event in written.select_related("entry__done_by"):
            found[event.cathode_id].append(event)
    return {pk: sorted(events, key=lambda event: Moment.of(event.entry)) for pk, events in found.items()}


def _base(cathode: Cathode, sheet: Sheet, events: Sequence[Event], at: datetime) -> Base:
    """Where the replay begins: bare when it was first hung, or at the last strip that is too old to learn from."""
    moment = Moment.of(cathode.entry)
    for event in events:
        if isinstance(event, Strip) and event.entry.happened_at < at - LEARNED_FROM:
            moment = Moment.of(event.entry)
    return Base(since=moment, mass_half_width_g=sheet.bare_half_width_g)


def _unread(bath_ids, since: datetime, until: datetime) -> list[Bite]:
    """Bites whose current nobody read: they laid copper down, and the book cannot say how much."""
    stops = BiteStop.objects.standing().filter(
        bite__bath__in=bath_ids,
        charge_ah=None,
        entry__happened_at__gte=since,
        entry__happened_at__lte=until,
    )
    rows = stops.values_list("bite__bath_id", "entry__happened_at", "entry_id")
    return [Bite(bath_id, Moment(at, entry_id), Charge(0.0, 0.0)) for bath_id, at, entry_id in rows]
