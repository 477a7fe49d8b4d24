"""Mail of what was ordered, to whoever chose it."""

from django.utils.translation import gettext as _

from studio.orders.models import Order
from studio.people import outbox
from studio.people.models import Mail
from studio.people.outbox import Letter, composes


@composes(Mail.ORDER)
def order(mail: Mail) -> Letter | None:
    """Who ordered it stays in the book; an order that was cancelled meanwhile is not told."""
    placed = Order.objects.standing().select_related("supplier").filter(pk=mail.about).first()
    if placed is None:
        return None
    lines = [str(line) for line in placed.lines.select_related("pack__material")]
    text = outbox.with_address("\n".join(lines), placed.supplier.get_absolute_url())
    return Letter(_("Ordered from %(supplier)s") % {"supplier": placed.supplier}, text)
