"""What the order list says in words."""

from dataclasses import dataclass
from datetime import date

from chemistry.measured import HALF_WIDTH_SDS, decimals_for, plain
from chemistry.working import Figure
from inventory.dates import day_of_year, long_day, long_month, said
from inventory.reorder import FEWEST_MONTHS
from studio.orders import prices
from studio.orders.models import OrderLine
from studio.orders.stock import LONGEST, Buy, MaterialStock
from studio.pages.quantities import DisplayedFigure, Shown, with_spread

A_NAME_IS_ENOUGH_DAYS = 330  # later, a month could be taken for the one that is running


def left(stock: MaterialStock) -> str:
    """What is there, and what that is measured by."""
    show = stock.material.show
    if not stock.on_hand:
        return "None left."
    level = f" {show(stock.level)} is when to order more." if stock.level else ""
    return f"{show(stock.on_hand)} left.{level}"


def next_order(stock: MaterialStock, today: date) -> str:
    """When it will be time to order more, at the rate at which it goes; empty when nobody can say."""
    if stock.is_wanted:
        return "It is time to order more."
    on = stock.order_on(today)
    if on is None:
        return ""
    if on - today >= LONGEST:
        return "It will not be time to order more within ten years."
    it = "With what is on its way it" if stock.coming else "It"
    down_to = f"comes down to {stock.shown_level}" if stock.level else "is used up"
    return f"{it} {down_to} about {long_day(on)}: order more by then."


def up_to(stock: MaterialStock) -> str:
    """To how much it is filled, where somebody has set that."""
    most = stock.material.order_up_to
    return f"It is filled up to {stock.material.show(most)}, as somebody has set." if most else ""


def risk(stock: MaterialStock) -> str:
    """What ordering at its level risks."""
    if stock.risk is None:
        return ""
    late = round(100 * stock.risk)
    of_them = "fewer than 1 in 100" if late < 1 else f"about {late} in 100" if late < 50 else "more than half of the"
    return f"So {of_them} deliveries come when it is used up."


def marked(stock: MaterialStock) -> str:
    """Who said that it is running out, in whose words."""
    if not stock.shortage:
        return ""
    entry = stock.shortage.entry
    return f"Marked by {entry.who_and_when}" + (f": {entry.note}" if entry.note else ".")


def covers(buys: list[Buy], today: date) -> str:
    """How long the nearest buy lasts, and what a larger one would leave in the cupboard by then."""
    best, *others = buys
    stock = best.stock
    show = stock.material.show
    until = stock.lasts_until(best.choice.amount, today)
    if until is None:
        if stock.rate:
            return "None was used in the months that are read, so nobody can say how long it lasts."
        return f"How long it lasts can be said after {FEWEST_MONTHS} whole months in the book."
    larger = next((buy for buy in others if buy.choice.amount > best.choice.amount), None)
    is_near = (until - today).days < A_NAME_IS_ENOUGH_DAYS
    named = f"until {said(until, 'F') if is_near else long_month(until)}"
    lasting = "for ten years and more" if until - today >= LONGEST else named
    covered = f"{show(best.choice.amount)} covers you {lasting}"
    if not larger:
        return f"{covered}."
    over = larger.choice.amount - best.choice.amount
    return f"{covered}; with {show(larger.choice.amount)} you would still own {show(over)} then."


def is_this_it(line: OrderLine) -> str:
    """The question to whoever holds a pack of what is awaited."""
    entry = line.order.entry
    ordered = f"{line.packs} × {line.size}" if line.packs > 1 else line.size
    came = f", {line.received} came" if line.received else ""
    return f"{entry.done_by} ordered {ordered} on {day_of_year(entry.happened_at)}{came}: is this it?"


def already(line: OrderLine) -> str:
    """Who took care of it, and when."""
    entry = line.order.entry
    return f"already ordered by {entry.done_by} on {day_of_year(entry.happened_at)}"


@dataclass(frozen=True)
class WayToBuy:
    buy: Buy
    price: str
    unit_price: str
    lasts: str


def ways_to_buy(stock: MaterialStock, months: int, today: date, currency: str) -> list[WayToBuy]:
    """The nearest to what is needed first."""
    found = stock.buys(months)
    return [
        WayToBuy(
            buy,
            prices.show(buy.choice.price_cents, currency),
            buy.pack.unit_price(currency),
            covers(found[number:], today),
        )
        for number, buy in enumerate(found)
    ]


def figures_of_stock(stock: MaterialStock) -> list[DisplayedFigure]:
    """Each opens to how it was worked out."""
    figures = []
    if stock.rate:
        rate = stock.rate.per_month
        shown = with_spread(rate.value, rate.sd, rate.unit) if rate.sd else without_spread(rate)
        figures.append(DisplayedFigure("Use", shown, rate))
    if stock.worked_out:
        level, unevenness = stock.worked_out.figure, stock.worked_out.unevenness
        words = "Reorder level that covers 95 in 100 deliveries"
        figures.append(DisplayedFigure(words, without_spread(level), level))
        figures.append(DisplayedFigure("Unevenness of the use until one comes", without_spread(unevenness), unevenness))
    return figures


def without_spread(figure: Figure) -> Shown:
    """Two or three digits: no level is truer than that."""
    return Shown(plain(figure.value, decimals_for(figure.value / 50 * HALF_WIDTH_SDS)), figure.unit)
