"""What the studio used up, at what it cost."""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from inventory.dates import long_month, months_after
from inventory.models import MonthSum
from inventory.months import month_of
from studio.drawing import charts
from studio.orders import costs as sums
from studio.orders import prices
from studio.orders.forms import CostPeriodForm
from studio.pages.sections import sections_of
from studio.pages.views import ReadView

MOST_MONTHS = 24
USUAL_MONTHS = 3


@dataclass(frozen=True)
class CostRow:
    """A group with its share of the total, in cents that add up to it."""

    group: sums.CostGroup
    cost: str
    each: str


@dataclass(frozen=True)
class Split:
    title: str
    rows: list[CostRow]


class CostsView(ReadView):
    @cached_property
    def form(self) -> CostPeriodForm:
        return CostPeriodForm(self.request.GET or usual_period(self.months), months=self.months)

    @cached_property
    def months(self) -> list[date]:
        """Those of the book, at most the last two years, the running one among them."""
        this = month_of(timezone.now())
        first = MonthSum.objects.order_by("month").values_list("month", flat=True).first() or this
        return [month for ago in range(MOST_MONTHS) if (month := months_after(this, -ago)) >= first]

    def get_context_data(self):
        return {"form": self.form}

    def get_part_data(self):
        currency = self.request.workshop.currency
        # what was asked for; where that makes no sense, what is usual
        typed = self.form.cleaned_data if self.form.is_valid() else usual_period(self.months)
        first, last = (date.fromisoformat(f"{typed[name]}-01") for name in ("first", "last"))
        found = sums.costs_of_months(first, last)
        # without a price it is named below and not counted as free: the month would look cheap
        priced = [cost for cost in found if cost.price]
        total = sums.CostGroup(_("all of it"), priced)
        by_month = sums.grouped(priced, lambda cost: cost.month, name=lambda month: long_month(month))
        return {
            "first": first,
            "last": last,
            "currency": currency,
            "cents": total.cents,
            "sections": sections_of("costs", cents=total.cents, first=first, last=last, currency=currency),
            "uses": total.uses,
            "chart": chart_of(by_month, currency) if priced else None,
            "splits": [
                split(_("By month"), by_month, total, currency),
                split(_("By category"), sums.grouped(priced, lambda cost: _(cost.material.category)), total, currency),
                split(_("By who used it"), sums.grouped(priced, lambda cost: cost.person), total, currency),
            ],
            "unpriced": sorted({str(cost.material) for cost in found if not cost.price}),
        }


def split(title: str, groups: list[sums.CostGroup], total: sums.CostGroup, currency: str) -> Split:
    cents = sums.shared(total.cents, [group.cents for group in groups])
    rows = [
        CostRow(group, prices.show(whole, currency), prices.show(group.each, currency) if group.each else "")
        for group, whole in zip(groups, cents, strict=True)
    ]
    return Split(title, rows)


def chart_of(by_month: list[sums.CostGroup], currency: str) -> charts.Chart:
    # a month in which a count found more than it missed used less than nothing, and no column goes below the line
    spent = [(group.name, max(float(group.cents) / 100, 0.0)) for group in by_month]
    columns = [charts.Column(name, cost, cost) for name, cost in spent]
    return charts.columns(columns, title=_("Cost of what was used up"), unit=currency, decimals=2)


def usual_period(months: list[date]) -> dict[str, str]:
    """The last quarter of a year that is over; in a young book what there is."""
    over = months[1 : USUAL_MONTHS + 1] or months
    return {"first": f"{over[-1]:%Y-%m}", "last": f"{over[0]:%Y-%m}"}
