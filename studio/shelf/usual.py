"""What as a rule is in somebody's hands at the shelf's door."""

from inventory.models import Container, Material

MOST = 8
LATELY = 20


def usual() -> list[Material]:
    """Materials that are low, then those that came last."""
    # what has run out is most likely what the parcel holds
    low = Material.objects.to_reorder()[:MOST]
    came = Container.objects.select_related("material").order_by("-pk")[:LATELY]
    return list(dict.fromkeys([*low, *(jar.material for jar in came)]))[:MOST]
