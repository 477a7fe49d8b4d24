"""How a cathode stands at a moment: what lies on it by the current, how thick, and when it is to be stripped."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from math import inf

from django.utils import timezone

from chemistry.bath.figures import Span
from chemistry.copper import deposition
from chemistry.copper.efficiency import ExpectedEfficiency
from chemistry.measured import Measured
from chemistry.working import Figure
from studio.baths.models import Bath
from studio.bites import calibration
from studio.bites.calibration import Electrode
from studio.bites.models import BiteStop
from studio.cathodes import deposition as replayed
from studio.cathodes import hangings
from studio.cathodes.deposition import Baseline, BiteCharge, Checked, Growth
from studio.cathodes.hangings import CathodeInstallation, Moment
from studio.cathodes.models import Cathode, CathodeWeighing, Hanging, Sheet, Strip

ONE_DAY = timedelta(days=1)
LEARNED_FROM = timedelta(days=730)  # older weighings teach nothing of the bath as it is now
LATELY = timedelta(days=90)  # the rate of these days is that of the days to come: own estimate
STRIP_SOON = timedelta(days=7)
FEWEST_BITES = 3  # one good afternoon tells no rate: own estimate, as the next
FEWEST_DAYS = 3.0

Event = CathodeWeighing | Strip


@dataclass(frozen=True, kw_only=True)
class CathodeStatus:
    """A cathode with its sheet, where it hangs, and the copper on it at the moment `at`."""

    cathode: Cathode
    sheet: Sheet
    at: datetime
    stays: Sequence[CathodeInstallation]
    growth: Growth
    expected: ExpectedEfficiency
    lately: Sequence[BiteCharge]
    lately_days: float

    @property
    def stay(self) -> CathodeInstallation | None:
        """The one that lasts."""
        return next((stay for stay in self.stays if stay.until is None), None)

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
        return self.checked[-1] if self.checked else None

    @cached_property
    def thickness(self) -> Figure:
        return deposition.thickness(self.deposit, facing_cm2=self.sheet.facing_cm2)

    @cached_property
    def gap_loss(self) -> Figure | None:
        gap_mm = self.sheet.gap_mm
        return deposition.gap_loss(self.thickness, gap_mm=gap_mm) if gap_mm else None

    @cached_property
    def strip_at_g(self) -> float:
        """Whichever comes first: the set thickness, or lumps that take their share of the gap."""
        return min(self.at_thickness_g, self.at_gap_loss_g)

    @property
    def lumps_come_first(self) -> bool:
        return self.at_gap_loss_g < self.at_thickness_g

    @property
    def at_thickness_g(self) -> float:
        return deposition.grams_at_thickness(self.sheet.strip_at_um, facing_cm2=self.sheet.facing_cm2)

    @property
    def at_gap_loss_g(self) -> float:
        sheet = self.sheet
        if not (sheet.gap_mm and sheet.most_loss_percent):
            return inf
        return deposition.grams_at_gap_loss(sheet.most_loss_percent, gap_mm=sheet.gap_mm, facing_cm2=sheet.facing_cm2)

    @property
    def is_due(self) -> bool:
        return self.deposit.value >= self.strip_at_g

    @cached_property
    def rate(self) -> Figure | None:
        """None while there are too few bites to tell it."""
        charges = [bite.charge for bite in self.lately]
        if len(charges) < FEWEST_BITES:
            return None
        return deposition.rate(charges, days=self.lately_days, efficiency=self.efficiency)

    @cached_property
    def span(self) -> Span | None:
        """Days until the next strip; None while it hangs in no bath, or in one at rest or too new to tell."""
        if self.stay is None or self.rate is None:
            return None
        return deposition.span_until(self.deposit, grams=self.strip_at_g, rate=self.rate, days=self.lately_days)

    def count_own(self, bites: Sequence[BiteCharge]) -> int:
        """How many of some bites ran against this cathode since it was last weighed or stripped."""
        own = replayed.on_cathode(bites, self.stays, self.cathode.pk)
        return sum(bite.moment >= self.growth.running.base.since for bite in own)

    @property
    def is_due_soon(self) -> bool:
        return not self.is_due and self.span is not None and self.span.days <= STRIP_SOON / ONE_DAY


@dataclass(frozen=True, kw_only=True)
class CathodeRecords:
    """What was written of cathodes by a moment; how they stood then, or before, follows without asking the book."""

    sheets: Sequence[Sheet] = ()
    events: Mapping[int, Sequence[Event]] = field(default_factory=dict)
    hung: Sequence[Hanging] = ()
    bites: Sequence[BiteCharge] = ()

    @cached_property
    def expected(self) -> ExpectedEfficiency:
        return calibration.expected(Electrode.CATHODE)

    def stays(self, at: datetime) -> list[CathodeInstallation]:
        return hangings.stays_of_hangings(each for each in self.hung if each.entry.happened_at <= at)

    def statuses(self, at: datetime) -> list[CathodeStatus]:
        """Of the cathodes that were hung by then."""
        stays = self.stays(at)
        return [
            self.status(sheet, [stay for stay in stays if stay.cathode_id == sheet.cathode_id], at)
            for sheet in self.sheets
            if sheet.cathode.entry.happened_at <= at
        ]

    def status(self, sheet: Sheet, own: Sequence[CathodeInstallation], at: datetime) -> CathodeStatus:
        """own: its stays."""
        events = [each for each in self.events[sheet.cathode_id] if each.entry.happened_at <= at]
        base = baseline_of(sheet, events, at)
        bites = (bite for bite in self.bites if bite.moment.at <= at)
        on_it = replayed.on_cathode(bites, own, sheet.cathode_id)
        # the baseline is itself a strip where older ones are too old to learn from
        later = [event for event in events if Moment.of(event.entry) > base.since]
        # a young cathode is judged by its own days: in ninety its few bites would look rare
        lately = max(at - LATELY, own[0].since.at) if own else at
        return CathodeStatus(
            cathode=sheet.cathode,
            sheet=sheet,
            at=at,
            stays=own,
            growth=replayed.replay(sheet, base, later, on_it, expected=self.expected),
            expected=self.expected,
            lately=[bite for bite in on_it if bite.moment.at >= lately],
            # a cathode hung an hour ago would seem to gather a hundred grams a day
            lately_days=max(FEWEST_DAYS, (at - lately) / ONE_DAY),
        )


def records_of_cathodes(since: datetime, until: datetime, **which: Cathode) -> CathodeRecords:
    """What tells how cathodes stood at any moment between two, in six queries; which: one of them."""
    sheets = latest_sheets(until, **which)
    if not sheets:
        return CathodeRecords()
    events, hung = events_of_cathodes(sheets, until), hangings.written_until(until)
    # one query for all of them reaches back to the earliest
    reach = min(*(baseline_of(sheet, events[pk], since).since.at for pk, sheet in sheets.items()), since - LATELY)
    baths = {hanging.bath_id for hanging in hung if hanging.cathode_id in sheets and hanging.bath_id}
    return CathodeRecords(
        sheets=list(sheets.values()),
        events=events,
        hung=hung,
        bites=replayed.bites_in(baths, since=reach, until=until),
    )


def statuses_of_cathodes(at: datetime | None = None, **which: Cathode) -> list[CathodeStatus]:
    """How cathodes stand at a moment, however many they are; those hung later are left out."""
    at = at or timezone.now()
    return records_of_cathodes(at, at, **which).statuses(at)


def status_of_cathode(cathode: Cathode, at: datetime | None = None) -> CathodeStatus | None:
    """One cathode at a moment; None before it was hung, and once it was struck."""
    return next(iter(statuses_of_cathodes(at, cathode=cathode)), None)


def unread_bites(statuses: Sequence[CathodeStatus]) -> dict[int, int]:
    """By cathode, the bites since it was last weighed whose current nobody read: the book cannot say what they laid."""
    if not statuses:
        return {}
    since = min(status.growth.running.base.since for status in statuses)
    stops = BiteStop.objects.standing().filter(charge_ah=None, entry__happened_at__gte=since.at)
    rows = stops.values_list("bite__bath_id", "entry__happened_at", "entry_id")
    # only counted, so they need no charge
    bites = [BiteCharge(bath_id, Moment(at, entry_id), Measured(0.0, unit="A·h")) for bath_id, at, entry_id in rows]
    return {status.cathode.pk: status.count_own(bites) for status in statuses}


def latest_sheets(at: datetime, **which) -> dict[int, Sheet]:
    """By cathode its sheet as it was measured last, which holds for all of the past: a figure put right was wrong."""
    standing = Sheet.objects.standing().filter(cathode__entry__struck_at=None, cathode__entry__happened_at__lte=at)
    in_order = (
        standing.filter(**which)
        .select_related("cathode__entry")
        .order_by("cathode__name", "entry__happened_at", "entry_id")
    )
    # the later of two takes the place of the earlier, and cathodes keep the order of their names
    return {sheet.cathode_id: sheet for sheet in in_order}


def events_of_cathodes(cathodes: Collection[int], at: datetime) -> dict[int, list[Event]]:
    found: dict[int, list[Event]] = {pk: [] for pk in cathodes}
    for model in (CathodeWeighing, Strip) if cathodes else ():
        written = model.objects.standing().filter(cathode__in=cathodes, entry__happened_at__lte=at)
        for event in written.select_related("entry__done_by"):
            found[event.cathode_id].append(event)
    return {pk: sorted(events, key=lambda event: Moment.of(event.entry)) for pk, events in found.items()}


def baseline_of(sheet: Sheet, events: Sequence[Event], at: datetime) -> Baseline:
    """Where the replay begins: bare when it was first hung, or at the last strip that is too old to learn from."""
    moment = Moment.of(sheet.cathode.entry)
    for event in events:
        if isinstance(event, Strip) and event.entry.happened_at < at - LEARNED_FROM:
            moment = Moment.of(event.entry)
    return Baseline(since=moment)
