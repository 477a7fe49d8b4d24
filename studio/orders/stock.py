"""What there is of each material, what is on its way, how fast it goes, and what to buy of it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from operator import attrgetter
from typing import Any

from django.db.models import Min, OuterRef, Q, QuerySet, Subquery, Sum
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

from chemistry import units
from inventory import reorder
from inventory.dates import months_after, said
from inventory.models import Material, MonthSum
from inventory.months import month_of
from inventory.reorder import LeadTime, PackChoice, ReorderLevel, UseRate
from studio.orders.models import Order, OrderLine, Pack, Shortage

READ_BACK = timedelta(days=731)  # two years: deliveries before that say little about the next one
MOST_DELIVERIES = 300
# ten years: what is hardly used would give a day that no calendar has
LONGEST = timedelta(days=3652)
USUAL_MONTHS = 3  # that what is bought should last


@dataclass(frozen=True, kw_only=True)
class MaterialStock:
    """
    All that decides whether a material is bought. Amounts are in base units, rates in its shown unit.

    is_low: at the level that somebody set, which is what every page calls low.
    """

    material: Material
    on_hand: int
    is_low: bool
    months: Sequence[int]
    packs: Sequence[Pack] = ()
    awaited: Sequence[OrderLine] = ()
    shortage: Shortage | None = None
    lead: LeadTime

    @cached_property
    def per_unit(self) -> int:
        """Base units in one of those it is shown in."""
        return units.parse(f"1 {self.material.shown_unit}", self.material.dimension)

    @property
    def unit(self) -> str:
        return units.printed_units(self.material.shown_unit)

    @cached_property
    def rate(self) -> UseRate | None:
        return reorder.use_rate([month / self.per_unit for month in self.months], unit=self.unit)

    @cached_property
    def worked_out(self) -> ReorderLevel | None:
        """The level that the book's own months ask for."""
        return reorder.reorder_level(self.rate, self.lead, unit=self.unit) if self.rate else None

    def use_by_month(self, now: datetime) -> list[tuple[str, float]]:
        """The name of each whole month that was read, and what was used in it, in the material's shown unit."""
        first = months_after(month_of(now), -len(self.months))
        return [
            (said(months_after(first, number), pgettext("date format", "M y")), used / self.per_unit)
            for number, used in enumerate(self.months)
        ]

    @property
    def coming(self) -> int:
        return sum(line.rest * line.amount for line in self.awaited)

    @property
    def level(self) -> int:
        """The level somebody has set; where nobody has, the one worked out."""
        if self.material.reorder_level or not self.worked_out:
            return self.material.reorder_level
        # the shelf counts in whole base units
        return round(self.worked_out.figure.value * self.per_unit)

    @property
    def risk(self) -> float | None:
        """Of deliveries that come after all is used up, where it is ordered at its level; None when nobody can say."""
        return reorder.risk_at(self.level / self.per_unit, self.rate, self.lead) if self.rate and self.level else None

    @property
    def shown_level(self) -> str:
        return self.material.show(self.level)

    @property
    def shown_on_hand(self) -> str:
        return self.material.show(self.on_hand)

    @property
    def is_due(self) -> bool:
        """Low, or where nobody set a level, down to the one worked out."""
        return bool(self.level) and self.on_hand <= self.level

    @property
    def word(self) -> str:
        """Why it is bought."""
        return _("low") if self.is_low else _("time to order") if self.is_due else _("marked low")

    @property
    def is_wanted(self) -> bool:
        """Due or marked low, and what is on its way does not answer that."""
        return (self.is_due and self.on_hand + self.coming <= self.level) or self.shortage is not None

    def buys(self, months: float) -> "list[Buy]":
        """
        Ways to buy about what lasts so many months and still leaves the level, the nearest to that first.

        Where somebody has set up to how much it is ordered, that goes before.
        """
        used = self.rate.per_month.value * self.per_unit * months if self.rate else 0.0
        # what is on its way counts as there, or it would be ordered twice
        there = self.on_hand + self.coming
        needed, least = (self.material.order_up_to or self.level + used) - there, self.level - there
        buys = [
            Buy(
                self,
                pack,
                reorder.nearest(needed, least=least, pack_amount=pack.amount, pack_price_cents=pack.price_cents),
            )
            for pack in self.packs
        ]
        return sorted(buys, key=attrgetter("choice.rank"))

    def order_on(self, today: date) -> date | None:
        """When it will have come down to its level at the rate at which it goes; None when nobody can say."""
        if not self.rate or not self.rate.per_day:
            return None
        days = (self.on_hand + self.coming - self.level) / (self.rate.per_day * self.per_unit)
        # below its level it is due today, not on a day that is past
        return today + timedelta(days=min(max(days, 0.0), LONGEST.days))

    def lasts_until(self, amount: int, today: date) -> date | None:
        """When so much more than there is would be used up; None when nobody can say, a last date when for ever."""
        if not self.rate or not self.rate.per_day:
            return None
        days = (self.on_hand + self.coming + amount) / (self.rate.per_day * self.per_unit)
        return today + timedelta(days=min(days, LONGEST.days))


@dataclass(frozen=True)
class Buy:
    """So many packs of one kind, for one material."""

    stock: MaterialStock
    pack: Pack
    choice: PackChoice


def stocks_of_all(now: datetime) -> list[MaterialStock]:
    """The stock of every material, in the order of the shelf."""
    return stocks_of(Material.objects.listed().standing_here(), now)


def stock_of_material(material: Material, now: datetime) -> MaterialStock:
    return stocks_of(Material.objects.standing_here().filter(pk=material.pk), now)[0]


def awaited_lines(now: datetime) -> QuerySet[OrderLine]:
    """What is on its way; what nobody has received in two years is awaited no longer."""
    awaited = OrderLine.objects.awaited(since=now - READ_BACK)
    return awaited.with_names().order_by("order__entry__happened_at", "pk")


def delivered_after_days(now: datetime) -> dict[int, list[float]]:
    """Days from each order of the last two years to what came of it first, by supplier; a day at least."""
    came = {"lines__receipts__packs__gt": 0, "lines__receipts__entry__struck_at": None}
    delivered = (
        Order.objects.standing(since=now - READ_BACK)
        .annotate(came_at=Min("lines__receipts__entry__happened_at", filter=Q(**came)))
        .exclude(came_at=None)
        # the latest first, so that what is cut off is what says least of the next one
        .order_by("-entry__happened_at")
        .values_list("supplier_id", "entry__happened_at", "came_at")[:MOST_DELIVERIES]
    )
    days = defaultdict(list)
    for supplier_id, ordered_at, came_at in delivered:
        # ordered and received within the hour, it would promise deliveries in no time
        days[supplier_id].append(max((came_at - ordered_at) / timedelta(days=1), 1.0))
    return days


def stocks_of(materials: QuerySet[Material], now: datetime) -> list[MaterialStock]:
    # in the whole order of the index by material: by the month alone PostgreSQL may walk through those of all materials
    months_of_it = MonthSum.objects.filter(material=OuterRef("pk")).order_by("month", "person_id", "kind")
    rows: list[Any] = list(materials.annotate(first_month=Subquery(months_of_it.values("month")[:1])))
    # for one material the database need not read the months of all
    only = {} if len(rows) > 1 else {"material__in": rows}
    months = used_by_month(now, only)
    packs = by_material(Pack.objects.sold().filter(**only).select_related("supplier", "material"))
    awaited = by_material(awaited_lines(now), key=attrgetter("pack.material_id"))
    shortages = {mark.material_id: mark for mark in Shortage.objects.unanswered().select_related("entry__done_by")}
    days = delivered_after_days(now)
    return [
        MaterialStock(
            material=row,
            on_hand=row.on_hand,
            is_low=row.is_low,
            months=whole_months(row.first_month, months[row.pk], now),
            packs=packs[row.pk],
            awaited=awaited[row.pk],
            shortage=shortages.get(row.pk),
            lead=slowest_lead_time(row, packs[row.pk], days),
        )
        for row in rows
    ]


def used_by_month(now: datetime, only: dict) -> dict[int, dict[date, int]]:
    this = month_of(now)
    sums = MonthSum.objects.consumed().filter(
        month__gte=months_after(this, -reorder.MOST_MONTHS), month__lt=this, **only
    )
    used: dict[int, dict[date, int]] = defaultdict(dict)
    for material_id, month, amount in (
        sums.values("material", "month").annotate(sum=Sum("amount")).order_by().values_list("material", "month", "sum")
    ):
        used[material_id][month] = -amount
    return used


def whole_months(first: date | None, used: dict[date, int], now: datetime) -> list[int]:
    """
    Use of each whole month, oldest first: the month that is running is left out, and so is the one in which the
    material came, which began without it and often with a big first mix.
    """
    if first is None:
        return []
    this = month_of(now)
    begin = max(months_after(first, 1), months_after(this, -reorder.MOST_MONTHS))
    months = []
    while begin < this:
        months.append(used.get(begin, 0))
        begin = months_after(begin, 1)
    return months


def by_material(rows: Iterable, key: Callable = attrgetter("material_id")) -> dict[int, list]:
    grouped = defaultdict(list)
    for row in rows:
        grouped[key(row)].append(row)
    return grouped


def slowest_lead_time(material: Material, packs: Iterable[Pack], days: dict[int, list[float]]) -> LeadTime:
    """Of those who sell it, so that the level holds whoever is asked."""
    # what somebody wrote on the material itself goes before what a supplier says
    usual = material.lead_time_days
    said = (float(usual), usual * reorder.WORST_TO_USUAL) if usual else None
    suppliers = {pack.supplier_id: pack.supplier for pack in packs}
    leads = [reorder.lead_time(days[pk], said=said or supplier.said_days) for pk, supplier in suppliers.items()]
    return max(leads, key=attrgetter("days"), default=reorder.lead_time([], said=said))
