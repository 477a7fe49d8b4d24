"""The figures of one material's page, each with how it was worked out."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from chemistry.measured import HALF_WIDTH_SDS, decimals_for, plain
from chemistry.working import Figure, Working
from inventory.dates import months_after
from inventory.months import month_of
from studio.orders import descriptions, prices
from studio.orders.stock import Buy, MaterialStock
from studio.pages.quantities import Shown, with_spread


@dataclass(frozen=True)
class Told:
    """A figure as it is read, and its sum."""

    name: str
    shown: Shown
    working: Working

    @property
    def summary(self) -> str:
        return f"{self.name}: {self.shown}"


@dataclass(frozen=True)
class Way:
    """A way to buy, as it is compared with the others."""

    buy: Buy
    price: str
    unit_price: str
    lasts: str


def of(stock: MaterialStock) -> list[Told]:
    return list(_told(stock))


def buys(stock: MaterialStock, months: int, today: date, currency: str) -> list[Way]:
    """The smallest first."""
    found = stock.buys(months)
    return [
        Way(
            buy,
            prices.show(buy.choice.price_cents, currency),
            buy.pack.unit_price(currency),
            descriptions.covers(found[number:], today),
        )
        for number, buy in enumerate(found)
    ]


def named_months(stock: MaterialStock, now: datetime) -> list[tuple[str, float]]:
    """The whole months that were read, and what was used in each, in the material's shown unit."""
    first = months_after(month_of(now), -len(stock.months))
    return [(f"{months_after(first, number):%b %y}", used / stock.per_unit) for number, used in enumerate(stock.months)]


def _told(stock: MaterialStock) -> Iterator[Told]:
    if stock.rate:
        rate = stock.rate.per_month
        shown = with_spread(rate.value, rate.sd, rate.unit) if rate.sd else _plain(rate)
        yield Told("Use", shown, rate.working)
    if stock.worked_out:
        figure, unevenness = stock.worked_out.figure, stock.worked_out.unevenness
        yield Told("Reorder level that covers 95 in 100 deliveries", _plain(figure), figure.working)
        yield Told("Unevenness of the use until one comes", _plain(unevenness), unevenness.working)


def _plain(figure: Figure) -> Shown:
    """Two or three digits: no level is truer than that."""
    places = decimals_for(figure.value / 50 * HALF_WIDTH_SDS)
    return Shown(plain(figure.value, places), figure.unit)
