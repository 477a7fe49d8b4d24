"""What was used and found missing, at what it cost: by month, by category, by person, and on a plate."""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property
from itertools import groupby
from typing import Any

from django.db.models import OuterRef, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.working import Figure, Input, Working
from inventory.models import Material, MonthSum, Movement, Person
from studio.orders.models import OrderLine, Pack

MOST_LINES = 8  # of a group, one by one
NOBODY = gettext_lazy("nobody: found missing at counts")


@dataclass(frozen=True, eq=False)
class Price:
    """What a base unit of a material costs, as a fraction until it is shown, and where that is from; one a material."""

    cents: Fraction
    source: str


@dataclass(frozen=True)
class Cost:
    """What a person used of a material in a month; what was found missing is nobody's."""

    material: Material
    month: date
    person: str
    amount: int
    uses: int
    price: Price | None


@dataclass(frozen=True)
class CostGroup:
    """Costs of one month, category or person: a sum that opens to its lines."""

    name: str
    costs: list[Cost]

    @cached_property
    def cents(self) -> Fraction:
        amounts = Counter[Price]()  # whole numbers first: thousands of fractions take long to add
        for cost in self.costs:
            if cost.price:
                amounts[cost.price] += cost.amount
        return sum((amount * price.cents for price, amount in amounts.items()), Fraction(0))

    @property
    def uses(self) -> int:
        return sum(cost.uses for cost in self.costs)

    @property
    def each(self) -> Fraction | None:
        """Of one use; None where nothing was taken out by hand."""
        return self.cents / self.uses if self.uses else None

    @cached_property
    def lines(self) -> "list[CostGroup]":
        """The group by material, dearest first."""
        return sorted(grouped(self.costs, lambda cost: str(cost.material)), key=lambda line: (-line.cents, line.name))

    @property
    def dearest(self) -> "list[CostGroup]":
        return self.lines[:MOST_LINES]

    @property
    def others(self) -> "list[CostGroup]":
        return self.lines[MOST_LINES:]

    @property
    def cents_of_others(self) -> Fraction:
        return sum((line.cents for line in self.others), Fraction(0))

    @property
    def material(self) -> Material:
        return self.costs[0].material

    @property
    def amount(self) -> int:
        return sum(cost.amount for cost in self.costs)

    @property
    def price(self) -> Price | None:
        return self.costs[0].price

    @property
    def shown_amount(self) -> str:
        return self.material.show(self.amount)


def costs_of_months(first: date, last: date) -> list[Cost]:
    """Costs of the months from one to another, both included; of a material without a price, without cents."""
    known = prices()
    materials = Material.objects.in_bulk()
    people = dict(Person.objects.values_list("pk", "name"))
    sums = MonthSum.objects.consumed().filter(month__gte=first, month__lte=last).order_by("month", "pk")
    rows = sums.values_list("material", "month", "person", "kind", "amount", "lines")
    return [
        Cost(
            materials[material],
            month,
            people[person] if kind == Movement.Kind.USED else str(NOBODY),
            -amount,
            # nobody knows in how many times it went that is found missing at a count
            lines if kind == Movement.Kind.USED else 0,
            known.get(material),
        )
        for material, month, person, kind, amount, lines in rows
        if amount
    ]


def prices() -> dict[int, Price]:
    """Of each material what was paid at its last order, else what its pack asks that is cheapest for its size."""
    last = OrderLine.objects.standing().filter(pack__material=OuterRef("pk")).exclude(price_cents=None).order_by("-pk")
    ordered = Material.objects.annotate(
        paid=Subquery(last.values("price_cents")[:1]), got=Subquery(last.values("amount")[:1])
    ).filter(got__isnull=False)
    asked: dict[int, Fraction] = {}
    # compared as fractions: rounded to cents, a box of 1000 gloves would cost nothing a piece
    priced = Pack.objects.sold().exclude(price_cents=None)
    for material, price_cents, amount in priced.values_list("material", "price_cents", "amount"):
        asked[material] = min(asked.get(material, Fraction(price_cents, amount)), Fraction(price_cents, amount))
    return {pk: Price(cents, _("the cheapest pack")) for pk, cents in asked.items()} | {
        pk: Price(Fraction(paid, got), _("the last order"))
        for pk, paid, got in ordered.values_list("pk", "paid", "got")
    }


def grouped(costs: Iterable[Cost], key: Callable[[Cost], Any], name: Callable[[Any], str] = str) -> list[CostGroup]:
    """Costs put together by what they have in common, in its order."""
    return [CostGroup(name(common), list(those)) for common, those in groupby(sorted(costs, key=key), key=key)]


def shared(total_cents: Fraction, parts: list[Fraction]) -> list[int]:
    """
    Whole cents for each part that add up to the whole total: the largest remainders are rounded up.

    >>> shared(Fraction(100), [Fraction(100, 3)] * 3)
    [34, 33, 33]
    """
    whole = [part.__floor__() for part in parts]
    left = round(total_cents) - sum(whole)
    # a table whose lines do not add up to its foot is trusted by nobody
    by_remainder = sorted(range(len(parts)), key=lambda number: whole[number] - parts[number])
    for number in by_remainder[:left]:
        whole[number] += 1
    return whole


def per_plate(cents: Fraction, plates: int, currency: str) -> Figure:
    """What one bitten plate cost in a period: all that was used up in it, over the plates bitten in it."""
    if plates < 1:
        raise ValueError(f"a cost per plate needs at least one plate, not {plates}")
    money = float(cents) / 100
    working = Working(
        formula=_("cost of a plate = used / plates"),
        inputs=(
            Input(name="used", value=money, unit=currency),
            Input(name="plates", value=float(plates), unit="bitten"),
        ),
        source=_(
            "what was used and found missing in these months, at its last price; a plate of the book "
            "counts once, one that is not in the book once for every bite"
        ),
    )
    return Figure(value=money / plates, unit=_("%(currency)s a plate") % {"currency": currency}, working=working)
