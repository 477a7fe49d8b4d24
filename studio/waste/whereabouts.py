"""Which drums are here and which have left."""

from collections.abc import Collection

from django.db.models import QuerySet

from studio.waste.models import Drum


def here() -> QuerySet[Drum]:
    """The drums that something can still go into."""
    return Drum.objects.standing()


def left(drums: Collection[Drum]) -> dict[int, str]:
    """By the drum's key, how those that left did so, in words."""
    return {}
