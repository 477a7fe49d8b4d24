"""How far the book has been written and struck."""

from django.db.models import Count, Max, Subquery

from inventory.models import Entry

BEING_WRITTEN = 100  # entries that can be under way at once, many times over


def book_revision() -> tuple[object, ...]:
    """
    Another mark means that anything in the book may have changed; pages kept under one hold what stands.

    The last entries are counted as well: one that was begun before them and ends after them fills a gap.
    """
    newest = Entry.objects.order_by("-pk").values("pk")[:1]
    last_strike = Entry.objects.filter(struck_at__isnull=False).order_by("-struck_at").values("struck_at")[:1]
    latest = Entry.objects.filter(pk__gt=Subquery(newest) - BEING_WRITTEN)
    found = latest.aggregate(newest=Max("pk"), written=Count("pk"), struck=Max(Subquery(last_strike)))
    return found["newest"], found["written"], found["struck"]
