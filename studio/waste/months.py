"""Hazardous waste month by month: what arose, and what stands here, by what was decided for each kind."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.utils import timezone

from chemistry import drum as sums
from chemistry import waste
from chemistry.drum import Known
from chemistry.rules import RuleSet
from chemistry.waste import Flag
from chemistry.working import HALF_WIDTH_SDS
from studio.waste import content, copper
from studio.waste.advice import Told
from studio.waste.content import Content
from studio.waste.copper import Brought
from studio.waste.models import Deposit

G_PER_KG = 1000
MONTHS_SHOWN = 12
MONTHS_IN_A_YEAR = 12

Kilograms = tuple[float, float] | None


@dataclass(frozen=True)
class Month:
    """
    What arose in one calendar month.

    generated: day and kilograms of everything that counts, or may count; both ends of what is known.
    undecided: kinds of which nobody has decided whether they count.
    """

    first: date
    generated: Sequence[tuple[date, Kilograms]]
    undecided: Sequence[str]
    unweighed: int

    @cached_property
    def kg(self) -> tuple[float, float]:
        low, high = waste.month_kg(self.generated, year=self.first.year, month=self.first.month)
        return float(low), float(high)

    @cached_property
    def known_kg(self) -> tuple[float, float]:
        """Without what nobody weighed."""
        weighed = [kg for _, kg in self.generated if kg]
        return sum(low for low, _ in weighed), sum(high for _, high in weighed)

    @property
    def figure(self) -> str:
        return between(*self.known_kg)

    @property
    def words(self) -> str:
        if not self.generated:
            return "Nothing that counts, or may count, has gone into a drum yet."
        unweighed = f" Nobody weighed {self.unweighed} of them." if self.unweighed else ""
        return f"{self.figure} kg arose so far.{unweighed}"

    def flags(self, sets: Iterable[RuleSet], on_site_kg: Kilograms = None) -> list[Flag]:
        year, month = self.first.year, self.first.month
        return waste.month_flags(self.generated, year=year, month=month, rule_sets=sets, on_site_kg=on_site_kg)


def this_month(now: datetime, told: Told) -> Month:
    (month,) = months(now, told, how_many=1)
    return month


def months(now: datetime, told: Told, *, how_many: int = MONTHS_SHOWN) -> list[Month]:
    """The last ones, the latest first, in four queries at most."""
    latest = timezone.localdate(now).replace(day=1)
    firsts = [_back(latest, months) for months in range(how_many)]
    since = timezone.make_aware(datetime.combine(firsts[-1], datetime.min.time()))
    put_in = Deposit.objects.standing().filter(from_drum=None, entry__happened_at__gte=since)
    deposits = list(put_in.filter(entry__happened_at__lte=now).select_related("entry", "strip"))
    brought = copper.brought_by(deposits)
    return [_month(first, deposits, brought, told) for first in firsts]


def on_site_kg(here: Iterable[Content], told: Told) -> Kilograms:
    """What stands here and counts, or may count; None where a drum that may count was never weighed."""
    total_low = total_high = 0.0
    for each in here:
        counts = told.counts_as_hazardous(each.drum.kind)
        if counts is False or not each.deposits:
            continue
        if each.mass is None:
            return None
        low, high = _kg(Known(each.mass.value, each.mass.sd or 0.0), counts)
        total_low, total_high = total_low + low, total_high + high
    return total_low, total_high


def between(low: float, high: float) -> str:
    """
    >>> between(1.234, 1.234), between(0, 12.2)
    ('1.2', '0 to 12')
    """
    ends = [f"{end:,.2g}" if end < 10 else f"{end:,.0f}" for end in (low, high)]
    return ends[0] if ends[0] == ends[1] else " to ".join(ends)


def _month(first: date, deposits: Iterable[Deposit], brought: Mapping[int, Brought], told: Told) -> Month:
    inside = [each for each in deposits if _day(each).replace(day=1) == first]
    counting = [each for each in inside if told.counts_as_hazardous(each.kind) is not False]
    generated = list(_generated(counting, brought, told))
    undecided = dict.fromkeys(each.kind for each in counting if told.counts_as_hazardous(each.kind) is None)
    return Month(first, generated, list(undecided), sum(kg is None for _, kg in generated))


def _generated(
    deposits: Iterable[Deposit], brought: Mapping[int, Brought], told: Told
) -> Iterator[tuple[date, Kilograms]]:
    for each in deposits:
        mass = _mass(each, brought[each.pk])
        yield _day(each), None if mass is None else _kg(mass, told.counts_as_hazardous(each.kind))


def _mass(each: Deposit, brought: Brought) -> Known | None:
    """As weighed, or as many litres weigh."""
    if each.mass_g is not None:
        return Known(each.mass_g, each.mass_sd_g or 0.0)
    density = brought.density_g_per_ml or content.DENSITIES.get(each.kind)
    if each.litres is None or density is None:
        return None
    return sums.mass_of(Known(each.litres, each.litres_sd or 0.0), density)


def _kg(mass: Known, counts: bool | None) -> tuple[float, float]:
    """Both ends of its 95 % interval; what nobody has decided may count in full, or not at all."""
    spread = HALF_WIDTH_SDS * mass.sd
    low = max(mass.value - spread, 0.0) if counts else 0.0
    return low / G_PER_KG, (mass.value + spread) / G_PER_KG


def _day(each: Deposit) -> date:
    return timezone.localdate(each.entry.happened_at)


def _back(first: date, months: int) -> date:
    """
    >>> _back(date(2026, 2, 1), 3)
    datetime.date(2025, 11, 1)
    """
    count = first.year * MONTHS_IN_A_YEAR + first.month - 1 - months
    return date(count // MONTHS_IN_A_YEAR, count % MONTHS_IN_A_YEAR + 1, 1)
