"""
What gathers on a cathode, replayed from the standing entries: the bites of its bath, its weighings, its strips.

A prediction rests on what the weighings before it have taught, never on the one that it is judged by.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from math import hypot
from typing import NamedTuple

from chemistry.copper import deposition
from chemistry.copper.deposition import Charge
from chemistry.copper.efficiency import Expected, Weighed, efficiency
from chemistry.working import HALF_WIDTH_SDS, Figure
from inventory.models import Entry
from studio.baths.models import BathEvent
from studio.cathodes.hangings import CathodeInstallation, Moment
from studio.cathodes.models import CathodeWeighing, Sheet, Strip


class Bite(NamedTuple):
    """What one bite sent through a bath."""

    bath_id: int
    moment: Moment
    charge: Charge


class Verdict(NamedTuple):
    """How a weighing stands to its prediction; without a level it says nothing of either."""

    level: str
    words: str


WET = Verdict("", "weighed wet: dry it to judge")
VERDICTS = {
    "as predicted": Verdict("fine", "within the scale"),
    "too small to judge": Verdict("", "too small to judge"),
    "less than predicted": Verdict("look", "apart: less than predicted"),
    "more than predicted": Verdict("look", "apart: more than predicted"),
}


@dataclass(frozen=True, kw_only=True)
class Baseline:
    """What lay on a cathode at a place in the book, and how the scale knew."""

    since: Moment
    grams: float = 0.0
    half_widths_g: tuple[float, ...] = ()
    mass_half_width_g: float

    @property
    def sd_g(self) -> float:
        return hypot(*self.half_widths_g) / HALF_WIDTH_SDS


@dataclass(frozen=True, kw_only=True)
class Interval:
    """The bites from one weighing or strip to the next, and the efficiency as it was known by then."""

    base: Baseline
    bites: Sequence[Bite]
    efficiency: Figure

    @property
    def charges(self) -> list[Charge]:
        return [bite.charge for bite in self.bites]

    @cached_property
    def predicted(self) -> Figure:
        return self.after(len(self.bites))

    def after(self, bites: int) -> Figure:
        """The copper after so many of its bites."""
        return deposition.predicted(
            before_g=self.base.grams,
            before_sd_g=self.base.sd_g,
            charges=self.charges[:bites],
            efficiency=self.efficiency,
        )


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
    def in_powder(self) -> Figure:
        return deposition.in_powder(self.event.powder_g if isinstance(self.event, Strip) else 0.0)

    @property
    def shown_g(self) -> float:
        """The copper on the cathode as the scale has it, with that in loose powder."""
        if isinstance(self.event, Strip):
            return self.event.mass_g + self.in_powder.value
        return self.event.mass_g - self.sheet.bare_g

    @property
    def shown_sd_g(self) -> float:
        return hypot(self.event.half_width_g / HALF_WIDTH_SDS, self.in_powder.sd or 0.0)

    @cached_property
    def weighed(self) -> Weighed:
        """What the bites of the spell laid down, by the scale."""
        charge = deposition.passed(self.spell.charges)
        return Weighed(
            charge_ah=charge.value,
            charge_sd_ah=charge.sd or 0.0,
            moved_g=self.shown_g - self.spell.base.grams,
            half_width_g=deposition.as_one_scale(self._half_widths_g()),
        )

    @cached_property
    def verdict(self) -> Verdict:
        if not self.event.is_dry:
            return WET
        if self.weighed.is_within_the_scale and self._is_far_more:
            return VERDICTS["more than predicted"]
        return VERDICTS[self.weighed.verdict(self.spell.efficiency)]

    @property
    def _is_far_more(self) -> bool:
        """Whether the scale shows a great deal where the current laid down next to nothing."""
        apart_g = self.shown_g - self.predicted.value
        return apart_g > HALF_WIDTH_SDS * hypot(self.weighed.moved_sd_g, self.predicted.sd or 0.0)

    def base_after(self) -> Baseline | None:
        """What is known to lie on the cathode now; a wet weighing tells nothing."""
        moment, sheet = Moment.of(self.entry), self.sheet
        if self.is_strip:
            return Baseline(since=moment, mass_half_width_g=sheet.bare_half_width_g)
        if not self.event.is_dry:
            return None
        scale = self.event.half_width_g
        known_by = (scale, sheet.bare_half_width_g)
        return Baseline(since=moment, grams=self.shown_g, half_widths_g=known_by, mass_half_width_g=scale)

    def _half_widths_g(self) -> Iterable[float]:
        """Every reading of a scale between the two ends of the spell."""
        base, scale = self.spell.base, self.event.half_width_g
        if not self.is_strip:
            return (base.mass_half_width_g, scale)
        return (*base.half_widths_g, scale, scale, self.in_powder.half_width or 0.0)  # tared, then weighed


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
    bites: Sequence[Bite],
    *,
    expected: Expected,
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
        spell = Interval(base=base, bites=_between(bites, base.since, moment), efficiency=efficiency(taught, expected))
        checked.append(Checked(event=event, sheet=sheet, spell=spell))
        known = checked[-1].base_after()
        if event.is_dry:
            taught.append(checked[-1].weighed)
        if known:
            ended.append(spell)
            base = known
    running = Interval(base=base, bites=_between(bites, base.since, None), efficiency=efficiency(taught, expected))
    return Growth(ended=ended, running=running, checked=checked)


def bites_in(bath_ids: Iterable[int], *, since: datetime, until: datetime) -> list[Bite]:
    """The bites of some baths in the order of the book, each with its charge as well as its readings told."""
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
    return [Bite(bath_id, Moment(at, entry_id), _charge(ah, sd_ah)) for bath_id, at, entry_id, ah, sd_ah in rows]


def on_cathode(bites: Iterable[Bite], stays: Sequence[CathodeInstallation], cathode_id: int) -> list[Bite]:
    """Those of the bites that ran while the cathode hung in their bath."""
    own = [stay for stay in stays if stay.cathode_id == cathode_id]
    return [bite for bite in bites if any(stay.bath.pk == bite.bath_id and stay.holds(bite.moment) for stay in own)]


def on_none(bites: Iterable[Bite], stays: Sequence[CathodeInstallation]) -> list[Bite]:
    """Those of the bites that ran against a sheet the book does not know."""
    return [
        bite for bite in bites if not any(stay.bath.pk == bite.bath_id and stay.holds(bite.moment) for stay in stays)
    ]


def _charge(ah: float, sd_ah: float | None) -> Charge:
    return Charge.read_once(ah) if sd_ah is None else Charge(ah, sd_ah)


def _between(bites: Sequence[Bite], since: Moment, until: Moment | None) -> list[Bite]:
    return [bite for bite in bites if since <= bite.moment and (until is None or bite.moment < until)]
