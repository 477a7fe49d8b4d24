"""
What gathers on a cathode, replayed from the standing entries: the bites of its bath, its weighings, its strips.

A prediction rests on what the weighings before it have taught, never on the one that it is judged by.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from chemistry.copper import deposition
from chemistry.copper.biting import read_by_meter
from chemistry.copper.efficiency import ExpectedEfficiency, Weighed, efficiency
from chemistry.measured import Measured, by_scale
from chemistry.working import Figure
from inventory.models import Entry
from studio.baths.models import BathEvent
from studio.cathodes.hangings import CathodeInstallation, Moment
from studio.cathodes.models import CathodeWeighing, Sheet, Strip


class BiteCharge(NamedTuple):
    """What one bite sent through a bath."""

    bath_id: int
    moment: Moment
    charge: Measured


class Verdict(NamedTuple):
    """How a weighing stands to its prediction; without a level it says nothing of either."""

    level: str
    words: str | Promise


WET = Verdict("", gettext_lazy("weighed wet: dry it to judge"))
VERDICTS = {
    "as predicted": Verdict("fine", gettext_lazy("within the scale")),
    "too small to judge": Verdict("", gettext_lazy("too small to judge")),
    "less than predicted": Verdict("look", gettext_lazy("apart: less than predicted")),
    "more than predicted": Verdict("look", gettext_lazy("apart: more than predicted")),
}


@dataclass(frozen=True, kw_only=True)
class Baseline:
    """What lay on a cathode at a place in the book: nothing on a bare one."""

    since: Moment
    copper: Measured = Measured(0.0, unit="g")


@dataclass(frozen=True, kw_only=True)
class Interval:
    """The bites from one weighing or strip to the next, and the efficiency as it was known by then."""

    base: Baseline
    bites: Sequence[BiteCharge]
    efficiency: Figure

    @property
    def charges(self) -> list[Measured]:
        return [bite.charge for bite in self.bites]

    @cached_property
    def predicted(self) -> Figure:
        return self.after(len(self.bites))

    def after(self, bites: int) -> Figure:
        """The copper after so many of its bites."""
        return deposition.predicted(self.base.copper, self.charges[:bites], self.efficiency)


@dataclass(frozen=True, kw_only=True)
class Checked:
    """One weighing or strip: what the current promised, what the scale showed."""

    event: CathodeWeighing | Strip
    sheet: Sheet
    spell: Interval

    @property
    def entry(self) -> Entry:
        return self.event.entry

    @property
    def is_strip(self) -> bool:
        return isinstance(self.event, Strip)

    @property
    def predicted(self) -> Figure:
        return self.spell.predicted

    @cached_property
    def shown(self) -> Measured:
        """The copper on the cathode as the scale has it, with that in loose powder."""
        if isinstance(self.event, Strip):
            return self.event.mass + self.event.copper_in_powder
        return self.event.mass - self.sheet.bare

    @cached_property
    def weighed(self) -> Weighed:
        """What the bites of the spell laid down, by the scale."""
        moved = self.shown - self.spell.base.copper
        if self.is_strip:
            # tared first, then weighed: the scale was read twice
            moved += by_scale(0.0, self.event.half_width_g)
        return Weighed(charge=deposition.passed(self.spell.charges), moved=moved)

    @cached_property
    def verdict(self) -> Verdict:
        if not self.event.is_dry:
            return WET
        apart = self.shown - self.predicted
        # a great deal where the current laid down next to nothing is no matter of the scale
        if self.weighed.is_within_the_scale and apart.value > apart.half_width:
            return VERDICTS["more than predicted"]
        return VERDICTS[self.weighed.verdict(self.spell.efficiency)]

    def base_after(self) -> Baseline | None:
        """What is known to lie on the cathode now; a wet weighing tells nothing."""
        moment = Moment.of(self.entry)
        if self.is_strip:
            return Baseline(since=moment)
        return Baseline(since=moment, copper=self.shown) if self.event.is_dry else None


@dataclass(frozen=True, kw_only=True)
class Growth:
    """All of it: spells that a weighing or strip has ended, the one that runs, and every weighing and strip."""

    ended: Sequence[Interval]
    running: Interval
    checked: Sequence[Checked]


def replay(
    sheet: Sheet,
    base: Baseline,
    events: Sequence[CathodeWeighing | Strip],
    bites: Sequence[BiteCharge],
    *,
    expected: ExpectedEfficiency,
) -> Growth:
    """
    events and bites: the cathode's own, in the order of the book, none before the base.

    expected: the efficiency before any of its weighings.
    """
    ended: list[Interval] = []
    checked: list[Checked] = []
    taught: list[Weighed] = []
    for event in events:
        moment = Moment.of(event.entry)
        spell = Interval(
            base=base, bites=bites_between(bites, base.since, moment), efficiency=efficiency(taught, expected)
        )
        checked.append(Checked(event=event, sheet=sheet, spell=spell))
        known = checked[-1].base_after()
        # after its own verdict, or each weighing would be judged by itself
        if event.is_dry:
            taught.append(checked[-1].weighed)
        # a wet weighing ends nothing: the bites before it still wait to be weighed
        if known:
            ended.append(spell)
            base = known
    running = Interval(base=base, bites=bites_between(bites, base.since, None), efficiency=efficiency(taught, expected))
    return Growth(ended=ended, running=running, checked=checked)


def bites_in(bath_ids: Iterable[int], *, since: datetime, until: datetime) -> list[BiteCharge]:
    """The bites of some baths in the order of the book, each with its charge as well as its readings told."""
    # the charge of the bath's own log, so that bath and cathode go by one figure
    rows = (
        BathEvent.objects.standing()
        .filter(bath__in=bath_ids, kind=BathEvent.Kind.BITTEN)
        .filter(entry__happened_at__gte=since, entry__happened_at__lte=until)
        .order_by("entry__happened_at", "entry_id", "pk")
        .values_list(
            "bath_id",
            "entry__happened_at",
            "entry_id",
            "values__charge_ah",
            "entry__bite_stops__charge_sd_ah",
        )
    )
    return [
        BiteCharge(bath_id, Moment(at, entry_id), read_by_meter(ah, "A·h", sd=sd_ah))
        for bath_id, at, entry_id, ah, sd_ah in rows
    ]


def on_cathode(bites: Iterable[BiteCharge], stays: Sequence[CathodeInstallation], cathode_id: int) -> list[BiteCharge]:
    """Those of the bites that ran while the cathode hung in their bath."""
    own = [stay for stay in stays if stay.cathode_id == cathode_id]
    return [bite for bite in bites if any(stay.bath.pk == bite.bath_id and stay.holds(bite.moment) for stay in own)]


def on_none(bites: Iterable[BiteCharge], stays: Sequence[CathodeInstallation]) -> list[BiteCharge]:
    """Those of the bites that ran against a sheet the book does not know."""
    return [
        bite for bite in bites if not any(stay.bath.pk == bite.bath_id and stay.holds(bite.moment) for stay in stays)
    ]


def bites_between(bites: Sequence[BiteCharge], since: Moment, until: Moment | None) -> list[BiteCharge]:
    # half open, so that a bite belongs to one interval and never to two
    return [bite for bite in bites if since <= bite.moment and (until is None or bite.moment < until)]
