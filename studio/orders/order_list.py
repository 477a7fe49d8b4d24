"""What is low and what is on its way, by supplier: for the page, the paper and the file."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from studio.orders import descriptions, stock
from studio.orders.models import OrderLine, Pack, Supplier
from studio.orders.prices import times
from studio.orders.stock import Buy, MaterialStock


@dataclass(frozen=True)
class Wanted:
    """Something to order more of, and the nearest way to do so where a supplier sells it."""

    stock: MaterialStock
    buy: Buy | None
    covers: str

    @property
    def status(self) -> tuple[str, str]:
        """How it is hatched, and the word."""
        if not self.stock.on_hand:
            return "act", _("none left")
        return "look", self.stock.word

    @property
    def left(self) -> str:
        return descriptions.left(self.stock)

    @property
    def marked(self) -> str:
        return descriptions.marked(self.stock)

    @property
    def coming(self) -> list[str]:
        return [line.awaited_words for line in self.stock.awaited]


@dataclass
class SupplierList:
    """The part of the list that goes to one supplier; None for what nobody is known to sell."""

    supplier: Supplier | None
    wanted: list[Wanted] = field(default_factory=list)
    awaited: list[OrderLine] = field(default_factory=list)

    @property
    def prices(self) -> list[int | None]:
        return [each.buy.choice.price_cents for each in self.wanted if each.buy]


def parts(now: datetime, *, months: int) -> list[SupplierList]:
    """By name of the supplier, what nobody sells last."""
    stocks, today = stock.stocks_of_all(now), timezone.localdate(now)
    found: dict[int | None, SupplierList] = {}

    def part(supplier: Supplier | None) -> SupplierList:
        return found.setdefault(supplier.pk if supplier else None, SupplierList(supplier))

    for each in stocks:
        if each.is_wanted:
            buys = each.buys(months)
            wanted = Wanted(each, buys[0], descriptions.covers(buys, today)) if buys else Wanted(each, None, "")
            part(buys[0].pack.supplier if buys else None).wanted.append(wanted)
        for line in each.awaited:
            part(line.order.supplier).awaited.append(line)
    # what nobody sells is listed all the same: somebody has to find a shop
    return sorted(found.values(), key=lambda part: (part.supplier is None, str(part.supplier)))


def csv_rows(part: SupplierList) -> Iterator[list]:
    """First what is to be ordered, then what is on its way."""
    supplier = str(part.supplier or "")
    for each in part.wanted:
        bought = [each.buy.choice.packs, *pack_cells(each.buy.pack, each.buy.choice.packs)] if each.buy else [""] * 5
        yield [supplier, str(each.stock.material), each.stock.shown_on_hand, each.status[1], *bought, "", "", ""]
    for line in part.awaited:
        entry = line.order.entry
        ordered = [str(entry.done_by), f"{timezone.localdate(entry.happened_at):%Y-%m-%d}", line.received]
        yield [
            supplier,
            str(line.pack.material),
            "",
            _("on its way"),
            line.packs,
            *pack_cells(line, line.packs),
            *ordered,
        ]


def pack_cells(pack: Pack | OrderLine, packs: int) -> list:
    """Size, the supplier's code, and prices as numbers."""
    code = pack.code if isinstance(pack, Pack) else pack.pack.code
    # exact: spreadsheets would show what a float is off by
    prices = (pack.price_cents, times(packs, pack.price_cents))
    return [pack.size, code, *("" if cents is None else Decimal(cents) / 100 for cents in prices)]
