"""Mail of what was ordered, to whoever chose it."""

from dataclasses import replace

from studio.orders import to_supplier
from studio.orders.models import Order
from studio.people import outbox
from studio.people.models import Mail
from studio.people.outbox import Letter, composes
from studio.workshop.models import Workshop


@composes(Mail.ORDER)
def order(mail: Mail) -> Letter | None:
    """Who ordered it stays in the book; an order that was cancelled meanwhile is not told."""
    placed = Order.objects.standing().select_related("supplier", "entry__done_by").filter(pk=mail.about).first()
    if placed is None:
        return None
    letter = to_supplier.letter_of(placed, Workshop.objects.get())
    return replace(letter, text=outbox.with_address(letter.text, placed.get_absolute_url()))
