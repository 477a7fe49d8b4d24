"""The studio's copper over a period, gathered from baths, bites, cathodes and strips, and set against itself."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.utils.translation import gettext as _

from chemistry.bath import BathState
from chemistry.bath.events import Event, TakenOut
from chemistry.copper import balance as copper_balance
from chemistry.copper import deposition as copper_deposition
from chemistry.copper import efficiency
from chemistry.copper.balance import NONE, Amount, Balance
from chemistry.measured import Measured, total
from chemistry.sentences import Sentence
from chemistry.working import Figure
from studio.baths import estimate
from studio.baths.estimate import ReplayStep
from studio.baths.models import Answer, Bath, BathEvent
from studio.baths.removals import NAMED_WAYS, removal_by
from studio.bites import calibration
from studio.bites.models import BiteStop
from studio.cathodes import deposition, sheets, status
from studio.cathodes.models import Strip
from studio.cathodes.period import Period
from studio.cathodes.sheets import Sheets

Kind = BathEvent.Kind

BROUGHT: dict[str, str] = {
    Kind.MIXED: "crystals",
    Kind.CRYSTALS_ADDED: "crystals",
    Kind.SOLUTION_ADDED: "solution",
    Kind.ADOPTED: "adopted",
}
DRIPS = "drips"
GIVEN_UP, UNREAD = Sentence("given up"), Sentence("no longer known")
RINSED, DRUMMED = Sentence("rinse in drums"), Sentence("other drums")
CAME = (
    Sentence("baths before"),
    Sentence("cathodes before"),
    Sentence("off plates"),
    Sentence("crystals"),
    Sentence("solution"),
    Sentence("adopted"),
    Sentence("poured in"),
)
IN_WASTE = (RINSED, DRUMMED, DRIPS, Sentence("strained"), Sentence("spilled"), Sentence("taken out"), GIVEN_UP)
STRIPPED = (Sentence("metal in drums"), Sentence("stripped"), Sentence("powder"))
WENT = (
    Sentence("baths now"),
    Sentence("cathodes now"),
    Sentence("unknown sheets"),
    *STRIPPED,
    Sentence("poured over"),
    UNREAD,
    *IN_WASTE,
)


@dataclass(frozen=True, kw_only=True)
class InDrums:
    """
    What of the copper that left baths and cathodes is in drums; waste comes later and tells it.

    shares: of what an event took out of a bath, by its key. strips: whose metal is. rinsed_until: drips up to then are.
    """

    shares: Mapping[int, float] = field(default_factory=dict)
    strips: Collection[int] = ()
    rinsed_until: datetime | None = None

    def split(self, name: str, event: BathEvent, copper: Measured) -> Iterator[Amount]:
        """What an event took out of a bath, under the drums it is in and the way the rest went."""
        if name == DRIPS:
            is_rinsed = self.rinsed_until is not None and event.happened_at <= self.rinsed_until
            yield Amount(RINSED if is_rinsed else DRIPS, copper)
            return
        # a part of it may be in no drum, and keeps the name of the way it went
        share = self.shares.get(event.pk, 0.0)
        if share:
            yield Amount(DRUMMED, copper * share)
        if share < 1:
            yield Amount(name, copper * (1 - share))


NOTHING_IN_DRUMS = InDrums()


@dataclass(frozen=True, kw_only=True)
class CopperAccount:
    """The balance of a period, and what makes it worth less than it looks."""

    period: Period
    balance: Balance
    sheets: Sheets
    held_out: int
    unread: int

    def amount(self, *names: str) -> Measured:
        """What stands under some names together; nothing where the period has none of it."""
        both = [*self.balance.came, *self.balance.went]
        return total((each.copper for each in both if each.name in names), "g")


@dataclass(frozen=True, kw_only=True)
class TankCopper:
    """One bath over the period: what it held at its two ends, what went in and out, and its part of the spread."""

    before: Measured
    now: Measured
    flows: Sequence[Amount]
    error: Measured


def account_of(period: Period, in_drums: InDrums = NOTHING_IN_DRUMS) -> CopperAccount:
    # from the very first event: what a bath held when the period began follows from all that went before
    logs = estimate.steps_of_baths(Bath.objects.all())
    tanks = [copper_of_tank(log, period, in_drums) for log in logs.values()]
    bites = deposition.bites_in(logs, since=period.since, until=period.until)
    anode, cathodes = calibration.anode_efficiency(), status.records_of_cathodes(period.since, period.until)
    # cathodes of the book have taught their own; of a sheet that nobody weighs there is only the expectation
    elsewhere = deposition.on_none(bites, cathodes.stays(period.until))
    on_unknown = copper_moved(elsewhere, efficiency.efficiency([], cathodes.expected))
    off_plates = copper_moved(bites, anode)
    others = {
        "off plates": [off_plates],
        "unknown sheets": [on_unknown],
        "cathodes before": [total((each.deposit for each in cathodes.statuses(period.since)), "g")],
        "cathodes now": [total((each.deposit for each in cathodes.statuses(period.until)), "g")],
        **strips_by_fate(period, in_drums),
    }
    balance = balance_of_tanks(tanks, others, [bite.charge for bite in bites])
    return CopperAccount(
        period=period,
        balance=balance,
        sheets=sheets.sheets_in(period, anode),
        held_out=count_held_out(logs.values(), period),
        unread=count_unread(period),
    )


def balance_of_tanks(
    tanks: Sequence[TankCopper], others: Mapping[str, Sequence[Measured]], charges: Sequence[Measured]
) -> Balance:
    """others: what was found elsewhere, by its name in the sum; charges: of the bites."""
    found = {name: list(copper) for name, copper in others.items()}
    for tank in tanks:
        for name, copper in (("baths before", tank.before), ("baths now", tank.now), *tank.flows):
            found.setdefault(name, []).append(copper)
    summed = {name: total(copper, "g") for name, copper in found.items()}
    return copper_balance.balance(
        came=named_amounts(CAME, found),
        went=named_amounts(WENT, found),
        errors={
            _("readings of the baths"): total((tank.error for tank in tanks), "g"),
            _("what biting leaves in a bath"): copper_balance.left_by_biting(charge.value for charge in charges),
            # the same meter read both, so what it reads off cancels
            _("the current"): summed["off plates"] - summed["unknown sheets"],
            # the meter that told both is off alike, and so cancels
            _("what lies on cathodes"): summed["cathodes before"] - summed["cathodes now"],
            _("the scales"): NONE - total((summed[name] for name in STRIPPED), "g"),
        },
    )


def named_amounts(names: Iterable[str], found: Mapping[str, Sequence[Measured]]) -> list[Amount]:
    """Under each name what was found; what there is nothing of is left out."""
    summed = (Amount(name, total(found.get(name, []), "g")) for name in names)
    # a line of noughts would only hide those that count
    return [amount for amount in summed if amount.copper.value or amount.copper.sd]


def copper_of_tank(log: Sequence[ReplayStep], period: Period, in_drums: InDrums) -> TankCopper:
    """log: all that happened to it, from its very first event."""
    steps = [step for step in log if step.event.entry.happened_at <= period.until]
    earlier = [step for step in steps if step.event.entry.happened_at < period.since]
    start = earlier[-1].state if earlier else None
    during = steps[len(earlier) :]
    began = steps[0].event.entry.happened_at if steps else period.since
    events = [step.event.on_day((step.event.entry.happened_at - began) / estimate.ONE_DAY) for step in during]
    flows = list(flows_of_events(start, during, events, in_drums))
    return TankCopper(
        before=copper_in_bath(start),
        now=copper_in_bath(during[-1].state if during else start),
        flows=flows,
        error=error_of_readings(start, during, events),
    )


def flows_of_events(
    start: BathState | None, during: Sequence[ReplayStep], events: Sequence[Event | None], in_drums: InDrums
) -> Iterator[Amount]:
    before = start
    for step, event in zip(during, events, strict=True):
        if step.state and event:
            yield from flows_of_event(before, step, event, in_drums)
        elif before:
            # something unknown was poured into it: it is all there, and nobody can say how much
            yield Amount(UNREAD, copper_in_bath(before))
        before = step.state


def flows_of_event(before: BathState | None, step: ReplayStep, event: Event, in_drums: InDrums) -> Iterator[Amount]:
    """What one event brought the bath or took from it."""
    kind, after = step.event.kind, step.state
    assert after is not None
    if isinstance(event, TakenOut) and before:
        name = NAMED_WAYS.get(step.event.entry.kind, DRIPS)
        yield from in_drums.split(name, step.event, removal_by(step.event, before, event.day).copper)
    elif event.begins and before:
        # adopted again it is the same liquid, better known; mixed anew, the old one is gone
        if kind == Kind.MIXED:
            yield Amount(GIVEN_UP, copper_in_bath(before))
            yield Amount(BROUGHT[kind], copper_in_bath(after))
    elif kind == Kind.POURED_IN:
        yield Amount("poured in", copper_balance.put_in(before, after))
    elif kind in BROUGHT:
        yield Amount(BROUGHT[kind], copper_balance.put_in(before, after))


def copper_in_bath(state: BathState | None) -> Measured:
    """The copper in a bath, dissolved or on its floor; none while nothing is known of it."""
    return state.measured().copper if state else NONE


def error_of_readings(
    start: BathState | None, during: Sequence[ReplayStep], events: Sequence[Event | None]
) -> Measured:
    """How far readings may have moved the book of a bath from its log, stretch by stretch between its beginnings."""
    error, stretch = NONE, list[Event]()
    first = before = start
    for step, event in zip(during, events, strict=True):
        if (event is None or event.begins) and before:
            error += copper_balance.readings_against_log(stretch, start=first, end=before)
            # what it was measured at anew, less what the log had: nothing went in or out, so all of it is error
            if step.event.kind == Kind.ADOPTED and step.state:
                error += copper_in_bath(step.state) - copper_in_bath(before)
            stretch, first = [], None
        if step.state and event:
            stretch.append(event)
        before = step.state
    if before:
        error += copper_balance.readings_against_log(stretch, start=first, end=before)
    return error


def copper_moved(bites: Sequence[deposition.BiteCharge], share: Figure) -> Measured:
    return copper_deposition.predicted(NONE, [bite.charge for bite in bites], share)


def strips_by_fate(period: Period, in_drums: InDrums) -> dict[str, list[Measured]]:
    strips = Strip.objects.standing().filter(entry__happened_at__gte=period.since, entry__happened_at__lte=period.until)
    found: dict[str, list[Measured]] = {name: [] for name in STRIPPED}
    for strip in strips:
        found["metal in drums" if strip.pk in in_drums.strips else "stripped"].append(strip.copper_in_metal)
        found["powder"].append(strip.copper_in_powder)
    return found


def count_held_out(logs: Iterable[Sequence[ReplayStep]], period: Period) -> int:
    """Readings of the period that the book does not believe and that nobody has answered."""
    doubted = (step.event for log in logs for step in log if step.far_off_sd is not None)
    held_out = {event.pk for event in doubted if event.happened_at in period}
    # a struck answer answers nothing: its reading waits again
    answers = Answer.objects.standing().filter(reading__in=held_out) if held_out else Answer.objects.none()
    return len(held_out - set(answers.values_list("reading", flat=True)))


def count_unread(period: Period) -> int:
    """Bites of the period whose current nobody read."""
    stops = BiteStop.objects.standing().filter(charge_ah=None)
    return stops.filter(entry__happened_at__gte=period.since, entry__happened_at__lte=period.until).count()
