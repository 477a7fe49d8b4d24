"""What is done to the studio itself."""

from django.core.cache import cache
from django.db import connection, transaction
from django.utils.translation import gettext as _

from inventory import book
from inventory.book import Signed
from inventory.models import Entry
from inventory.refusals import Refused
from studio.workshop import kinds
from studio.workshop.models import Workshop

KEPT_TABLES = {"django_content_type", "auth_permission"}  # made by migrations, the same in every book


def change(workshop: Workshop, *, by: Signed, **settings: str) -> Entry:
    """The studio's settings change; the entry names those that do."""
    fields = workshop.fact_fields()
    changed = ", ".join(str(fields[name].verbose_name) for name in settings if workshop.fact(name) != settings[name])
    return book.change(
        workshop,
        settings,
        kind=kinds.STUDIO_CHANGED,
        subject=_("Changed the studio: %(changed)s") % {"changed": changed},
        by=by,
    )


@transaction.atomic
def empty_the_demo() -> None:
    """
    Take everything out of the demo's book, past the guards that keep an own book's lines for ever.

    Numbers go on from where the demo's ended: a label printed in the demo never opens a container of the own book.
    """
    if not Workshop.objects.select_for_update().filter(is_demo=True).exists():
        raise Refused(None, _("This is no demo; an own book is never emptied."))
    with connection.cursor() as cursor:
        for table in set(connection.introspection.django_table_names()) - KEPT_TABLES:
            # in any order: what points at what is checked when the last of them is empty
            cursor.execute(f"DELETE FROM {connection.ops.quote_name(table)}")
    cache.clear()
