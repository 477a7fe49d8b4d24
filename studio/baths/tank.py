"""A tank as it is written: its figures agree with each other, its place stands with it."""

from inventory import facts
from inventory.models import Entry
from studio.baths.models import Bath


def write(bath: Bath, entry: Entry) -> None:
    """Write a tank, and its place if that is new."""
    if bath.place._state.adding:
        bath.place.save()
        bath.place = bath.place  # whose key the bath takes over
    if bath._state.adding:
        bath.check_facts()
        bath.save()
    else:
        facts.change(bath, bath.facts(), entry=entry)


def mark_the_fill(bath: Bath, volume_l: float, entry: Entry) -> None:
    """Where nobody gave a usual fill, a bath that is begun fills its tank."""
    if not bath.fill_is_given and bath.fill_l != volume_l:
        facts.change(bath, {"fill_l": volume_l}, entry=entry)
