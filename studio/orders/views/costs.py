"""What the studio used up, at what it cost."""

from dataclasses import dataclass
from datetime import date

from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.formats import date_format

from inventory.models import MonthSum
from inventory.months import later, month_of
from studio.book.revision import book_revision
from studio.drawing import charts
from studio.orders import costs as sums
from studio.orders import prices
from studio.orders.forms import CostPeriodForm
from studio.pages import fragment_cache

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
    """The whole cost, divided one way."""

    title: str
    rows: list[CostRow]


def costs(request):
    months = _months()
    asked = CostPeriodForm(request.GET or _usual(months), months=months)
    first, last = _period(asked, months)
    seen = (first, last, book_revision(), request.workshop.currency)
    whole = fragment_cache.cached_fragment("costs", *seen, make=lambda: _whole(first, last, request.workshop.currency))
    return render(request, "orders/costs.html", {"form": asked, "whole": whole})


def _whole(first: date, last: date, currency: str) -> str:
    found = sums.of(first, last)
    priced = [cost for cost in found if cost.price]
    total = sums.CostGroup("all of it", priced)
    by_month = sums.grouped(priced, lambda cost: cost.month, name=lambda month: date_format(month, "F Y"))
    context = {
        "first": first,
        "last": last,
        "currency": currency,
        "cents": total.cents,
        "uses": total.uses,
        "chart": _chart(by_month, currency) if priced else None,
        "splits": [
            _split("By month", by_month, total, currency),
            _split("By category", sums.grouped(priced, lambda cost: cost.material.category), total, currency),
            _split("By who used it", sums.grouped(priced, lambda cost: cost.person), total, currency),
        ],
        "unpriced": sorted({str(cost.material) for cost in found if not cost.price}),
    }
    return render_to_string("orders/_costs.html", context)


def _split(title: str, groups: list[sums.CostGroup], total: sums.CostGroup, currency: str) -> Split:
    cents = sums.shared(total.cents, [group.cents for group in groups])
    rows = [
        CostRow(group, prices.show(whole, currency), prices.show(group.each, currency) if group.each else "")
        for group, whole in zip(groups, cents, strict=True)
    ]
    return Split(title, rows)


def _chart(by_month: list[sums.CostGroup], currency: str) -> charts.Chart:
    columns = [(group.name, max(float(group.cents) / 100, 0.0)) for group in by_month]
    return charts.columns(columns, title="Cost of what was used up", unit=currency, decimals=2)


def _months() -> list[date]:
    """The months of the book, at most the last two years, the running one among them."""
    this = month_of(timezone.now())
    first = MonthSum.objects.order_by("month").values_list("month", flat=True).first() or this
    number = min((this.year - first.year) * 12 + this.month - first.month + 1, MOST_MONTHS)
    return [later(this, -ago) for ago in range(number)]


def _usual(months: list[date]) -> dict[str, str]:
    """The last quarter of a year that is over; in a young book what there is."""
    over = months[1 : USUAL_MONTHS + 1] or months
    return {"first": f"{over[-1]:%Y-%m}", "last": f"{over[0]:%Y-%m}"}


def _period(asked: CostPeriodForm, months: list[date]) -> tuple[date, date]:
    """What was asked for; where that makes no sense, what is usual."""
    typed = asked.cleaned_data if asked.is_valid() else _usual(months)
    first, last = (date.fromisoformat(f"{typed[name]}-01") for name in ("first", "last"))
    return first, last
