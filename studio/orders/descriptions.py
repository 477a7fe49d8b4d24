"""What the order list says in words."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from chemistry.measured import HALF_WIDTH_SDS, decimals_for, plain
from chemistry.working import Figure
from inventory.dates import day_of_year, long_day, long_month, said
from inventory.models import Entry
from inventory.reorder import FEWEST_MONTHS
from studio.orders import prices
from studio.orders.models import Order, OrderLine
from studio.orders.stock import LONGEST, Buy, MaterialStock
from studio.pages.quantities import DisplayedFigure, Shown, with_spread

A_NAME_IS_ENOUGH_DAYS = 330  # later, a month could be taken for the one that is running


def left(stock: MaterialStock) -> str:
    """What is there, and what that is measured by."""
    show = stock.material.show
    if not stock.on_hand:
        return _("None left.")
    if not stock.level:
        return _("%(on_hand)s left.") % {"on_hand": show(stock.on_hand)}
    places = {"on_hand": show(stock.on_hand), "level": show(stock.level)}
    return _("%(on_hand)s left. %(level)s is when to order more.") % places


def next_order(stock: MaterialStock, today: date) -> str:
    """When it will be time to order more, at the rate at which it goes; empty when nobody can say."""
    if stock.is_wanted:
        return _("It is time to order more.")
    on = stock.order_on(today)
    if on is None:
        return ""
    if on - today >= LONGEST:
        return _("It will not be time to order more within ten years.")
    if stock.level and stock.coming:
        words = _("With what is on its way it comes down to %(level)s about %(on)s: order more by then.")
    elif stock.level:
        words = _("It comes down to %(level)s about %(on)s: order more by then.")
    elif stock.coming:
        words = _("With what is on its way it is used up about %(on)s: order more by then.")
    else:
        words = _("It is used up about %(on)s: order more by then.")
    return words % {"level": stock.shown_level, "on": long_day(on)}


def up_to(stock: MaterialStock) -> str:
    """To how much it is filled, where somebody has set that."""
    most = stock.material.order_up_to
    return _("It is filled up to %(show)s, as somebody has set.") % {"show": stock.material.show(most)} if most else ""


def risk(stock: MaterialStock) -> str:
    """What ordering at its level risks."""
    if stock.risk is None:
        return ""
    late = round(100 * stock.risk)
    if late < 1:
        return _("So fewer than 1 in 100 deliveries come when it is used up.")
    if late < 50:
        return _("So about %(late)s in 100 deliveries come when it is used up.") % {"late": late}
    return _("So more than half of the deliveries come when it is used up.")


def marked(stock: MaterialStock) -> str:
    """Who said that it is running out, in whose words."""
    if not stock.shortage:
        return ""
    entry = stock.shortage.entry
    words = _("Marked by %(who_and_when)s: %(note)s") if entry.note else _("Marked by %(who_and_when)s.")
    return words % {"who_and_when": entry.who_and_when, "note": entry.note}


def covers(buys: list[Buy], today: date) -> str:
    """How long the nearest buy lasts, and what a larger one would leave in the cupboard by then."""
    best, *others = buys
    stock = best.stock
    show = stock.material.show
    until = stock.lasts_until(best.choice.amount, today)
    if until is None:
        if stock.rate:
            return _("None was used in the months that are read, so nobody can say how long it lasts.")
        words = ngettext(
            "How long it lasts can be said after %(months)s whole month in the book.",
            "How long it lasts can be said after %(months)s whole months in the book.",
            FEWEST_MONTHS,
        )
        return words % {"months": FEWEST_MONTHS}
    larger = next((buy for buy in others if buy.choice.amount > best.choice.amount), None)
    is_near = (until - today).days < A_NAME_IS_ENOUGH_DAYS
    places = {"amount": show(best.choice.amount), "until": said(until, "F") if is_near else long_month(until)}
    is_long = until - today >= LONGEST
    if not larger:
        words = (
            _("%(amount)s covers you for ten years and more.")
            if is_long
            else _("%(amount)s covers you until %(until)s.")
        )
        return words % places
    if is_long:
        words = _("%(amount)s covers you for ten years and more; with %(larger)s you would still own %(over)s then.")
    else:
        words = _("%(amount)s covers you until %(until)s; with %(larger)s you would still own %(over)s then.")
    over = larger.choice.amount - best.choice.amount
    return words % (places | {"larger": show(larger.choice.amount), "over": show(over)})


def is_this_it(line: OrderLine) -> str:
    """The question to whoever holds a pack of what is awaited."""
    entry = line.order.entry
    ordered = f"{line.packs} × {line.size}" if line.packs > 1 else line.size
    if line.received:
        words = _("%(done_by)s ordered %(ordered)s on %(on)s, %(received)s came: is this it?")
    else:
        words = _("%(done_by)s ordered %(ordered)s on %(on)s: is this it?")
    on = day_of_year(entry.happened_at)
    return words % {"done_by": entry.done_by, "ordered": ordered, "on": on, "received": line.received}


def already(line: OrderLine) -> str:
    """Who took care of it, and when."""
    entry = line.order.entry
    return _("already ordered by %(done_by)s on %(happened_at)s") % {
        "done_by": entry.done_by,
        "happened_at": day_of_year(entry.happened_at),
    }


def state_of_order(order: Order, lines: Sequence[OrderLine]) -> tuple[str, str]:
    """How it is hatched, and the word; lines: with_received."""
    if order.entry.is_struck:
        return "fine", _("cancelled")
    if any(line.rest for line in lines):
        return ("look", _("part came")) if any(line.received for line in lines) else ("fine", _("on its way"))
    return "fine", _("all came") if all(line.received >= line.packs for line in lines) else _("nothing more to come")


def what_became_of(line: OrderLine) -> list[tuple[Entry, str]]:
    """The entries that told of a line, and what each said; reasons in whose words they were given."""
    receipts = line.receipts.select_related("entry__done_by", "line__pack__material").order_by("pk")
    told = []
    for receipt in receipts.standing():
        words = _("%(who_and_when)s: %(what)s. %(note)s") if receipt.entry.note else _("%(who_and_when)s: %(what)s")
        places = {"who_and_when": receipt.entry.who_and_when, "what": receipt, "note": receipt.entry.note}
        told.append((receipt.entry, words % places))
    return told


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
        figures.append(DisplayedFigure(_("Use"), shown, rate))
    if stock.worked_out:
        level, unevenness = stock.worked_out.figure, stock.worked_out.unevenness
        words = _("Reorder level that covers 95 in 100 deliveries")
        figures.append(DisplayedFigure(words, without_spread(level), level))
        figures.append(
            DisplayedFigure(_("Unevenness of the use until one comes"), without_spread(unevenness), unevenness)
        )
    return figures


def without_spread(figure: Figure) -> Shown:
    """Two or three digits: no level is truer than that."""
    return Shown(plain(figure.value, decimals_for(figure.value / 50 * HALF_WIDTH_SDS)), figure.unit)
