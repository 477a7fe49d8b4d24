"""The kinds of entries that this book has."""

from django.core.cache import cache

from inventory.models import Entry
from studio.book.mark import BEING_WRITTEN

KEY = "kinds_of_entries"


def kinds() -> list[tuple[str, str]]:
    """All of them, as choices. The whole book is looked through once; after that only what was written since."""
    known, looked_up_to = cache.get(KEY, (frozenset(), 0))
    newest = Entry.objects.order_by("-pk").values_list("pk", flat=True).first() or 0
    if newest != looked_up_to:
        since = Entry.objects.filter(pk__gt=looked_up_to - BEING_WRITTEN)
        known |= set(since.order_by("kind").values_list("kind", flat=True).distinct())
        cache.set(KEY, (known, newest), timeout=None)
    return [(kind, kind.capitalize()) for kind in sorted(known)]
