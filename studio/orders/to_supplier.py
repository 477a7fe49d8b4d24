"""An order as it leaves the studio: in the words of a letter, on paper, in a file."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

from django.utils.translation import gettext as _

from inventory.dates import long_day
from studio.orders import prices
from studio.orders.models import Order, OrderLine
from studio.orders.order_list import pack_cells
from studio.people.outbox import Letter
from studio.workshop.models import Workshop

CSV_HEAD = ["Material", "Packs", "Of", "Supplier’s code", "Price of one", "Together"]


def letter_of(order: Order, workshop: Workshop) -> Letter:
    """What is asked of the supplier, whoever carries it: somebody's mail, the book's own, a telephone."""
    lines, entry = lines_of(order), order.entry
    subject = _("Order from %(studio)s, %(day)s") % {"studio": workshop.name, "day": long_day(entry.happened_at)}
    asked = "\n".join(line_in_words(line, workshop.currency) for line in lines)
    paragraphs = [
        _("To %(supplier)s") % {"supplier": ", ".join(filter(None, (order.supplier.name, order.supplier.contact)))},
        _("Please send us:") + f"\n\n{asked}",
        _("Together: %(total)s") % {"total": total(lines, workshop.currency)},
        entry.note,
        workshop.address and _("To this address: %(address)s") % {"address": workshop.address},
        "\n".join(filter(None, (str(entry.done_by), workshop.name, workshop.keyholder_line))),
    ]
    return Letter(subject, "\n\n".join(filter(None, paragraphs)) + "\n")


def on_paper(order: Order, workshop: Workshop) -> dict[str, Any]:
    """What the order's paper shows, whether somebody prints it or it goes along with a mail."""
    lines, currency = lines_of(order), workshop.currency
    return {"order": order, "lines": lines, "currency": currency, "total": total(lines, currency)}


def mailto(order: Order, letter: Letter) -> str:
    """Opens the mail of whoever reads the page, without an address where the supplier's is missing."""
    body = quote(letter.text.replace("\n", "\r\n"))
    return f"mailto:{quote(order.supplier.email, safe='@')}?subject={quote(letter.subject)}&body={body}"


def lines_of(order: Order) -> list[OrderLine]:
    return list(order.lines.with_received().with_names())


def total(lines: list[OrderLine], currency: str) -> str:
    return prices.total([line.cost_cents for line in lines], currency)


def line_in_words(line: OrderLine, currency: str) -> str:
    code = line.pack.code and _("your code %(code)s") % {"code": line.pack.code}
    if line.price_cents is None:
        price = prices.show(None, currency)
    else:
        price = _("%(one)s each, %(together)s") % {
            "one": prices.show(line.price_cents, currency),
            "together": prices.show(line.cost_cents, currency),
        }
    return ", ".join(filter(None, (str(line), code, line.pack.link, price)))


def csv_rows(lines: list[OrderLine]) -> Iterator[list]:
    for line in lines:
        yield [str(line.pack.material), line.packs, *pack_cells(line, line.packs)]
