"""How a drum stands, in words."""

from studio.baths.figures import Told
from studio.baths.sayings import measured
from studio.cathodes.sayings import Status
from studio.waste.content import Content

NEARLY_FULL_PERCENT = 75.0


def status_of(content: Content) -> Status:
    if content.is_full:
        return Status("act", "full")
    if content.full_percent is not None and content.full_percent >= NEARLY_FULL_PERCENT:
        return Status("look", "nearly full")
    return Status("fine", "open") if content.deposits else Status("fine", "empty")


def full(content: Content) -> str:
    """How full it stands, and how much more it takes."""
    percent = content.full_percent
    if percent is None:
        return "nobody has said how full" if content.deposits else "nothing in it yet"
    if content.is_full:
        return f"{percent:.0f} % full"
    return f"{percent:.0f} % full, takes {content.room_left_l:.2g} L more"


def figures(content: Content) -> list[Told]:
    """What is in it, as far as it is known, each with its working."""
    found = [
        ("Volume", content.volume),
        ("Mass", content.mass),
        ("Copper in it", content.copper),
        ("Copper in a litre", content.copper_per_l),
        ("Copper in a kilogram", content.copper_per_kg if content.copper_per_l is None else None),
    ]
    return [Told(name, measured(figure.value, figure.sd, figure.unit), figure) for name, figure in found if figure]
