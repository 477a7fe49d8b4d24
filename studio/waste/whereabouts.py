"""Which drums are here and which have left."""

from collections.abc import Collection

from studio.waste.models import Drum


def left(drums: Collection[Drum]) -> dict[int, str]:
    """By the drum's key, how those that left did so, in words."""
    return {}
