"""Mail of what was ordered, to whoever chose it."""

from collections.abc import Iterator
from dataclasses import replace

from django.utils.text import capfirst

from studio.orders import to_supplier
from studio.orders.models import Order
from studio.people import outbox
from studio.people.models import Mail
from studio.people.outbox import Letter, composes
from studio.printing import papers
from studio.workshop.models import Workshop


@composes(Mail.ORDER)
def order(mail: Mail) -> Letter | None:
    """As it goes to the supplier, with its paper; an order that was cancelled meanwhile is not told."""
    placed = Order.objects.standing().select_related("supplier", "entry__done_by").filter(pk=mail.about).first()
    if placed is None:
        return None
    workshop = Workshop.objects.get()
    letter = to_supplier.letter_of(placed, workshop)
    text = outbox.with_address(letter.text, placed.get_absolute_url())
    return replace(letter, text=text, attachments=list(attachments_of(placed, workshop)))


def attachments_of(placed: Order, workshop: Workshop) -> Iterator[tuple[str, bytes, str]]:
    if papers.available() is None:
        shown = {"workshop": workshop, "printed_by": placed.entry.done_by, **to_supplier.on_paper(placed, workshop)}
        paper = papers.pdf("orders/papers/order.html", shown, title=capfirst(str(placed)), page=workshop.paper)
        yield f"order-{placed.pk}.pdf", paper, "application/pdf"
