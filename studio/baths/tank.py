"""A tank as it is written: its figures agree with each other, its place stands with it."""

from collections.abc import Sequence
from itertools import pairwise

from inventory.refusals import Refused
from studio.baths.models import Bath, Mark


def save(bath: Bath, marks: Sequence[tuple[float, float]] | None = None) -> None:
    """Write a tank, its place if that is new, and its marks unless they stay as they are. Inside an entry only."""
    _check(bath)
    if bath.place._state.adding:
        bath.place.save()
    bath.save()
    if marks is not None:
        _check_marks(bath, marks)
        bath.marks.all().delete()
        Mark.objects.bulk_create(Mark(bath=bath, depth_cm=depth_cm, litres=litres) for depth_cm, litres in marks)


def mark_the_fill(bath: Bath, volume_l: float) -> None:
    """Where nobody gave a usual fill, a bath that is begun fills its tank. Inside an entry only."""
    if not bath.fill_is_given:
        bath.fill_l = volume_l
        bath.save(update_fields=["fill_l"])


def _check(bath: Bath) -> None:
    if Bath.objects.filter(name__iexact=bath.name).exclude(pk=bath.pk).exists():
        raise Refused("name", f"There is a tank called {bath.name} already.")
    if bath.fill_l > bath.rim_l:
        raise Refused("fill_l", f"The tank runs over at {bath.rim_l:.3g} L; fill it to less than that.")
    if bath.range_low_g_per_l >= bath.range_high_g_per_l:
        raise Refused("range_high_g_per_l", "The working range ends above where it begins.")
    if bath.coldest_c > bath.air_c:
        raise Refused("coldest_c", "The coldest the room gets lies below its usual temperature.")


def _check_marks(bath: Bath, marks: Sequence[tuple[float, float]]) -> None:
    for (below_cm, below_l), (above_cm, above_l) in pairwise(marks):
        if above_cm == below_cm:
            raise Refused("marks", f"Two marks stand at {above_cm:g} cm; keep one of them.")
        if above_l <= below_l:
            raise Refused("marks", f"The mark at {above_cm:g} cm holds no more than the one at {below_cm:g} cm.")
    if marks and marks[-1][1] > bath.rim_l:
        depth_cm, litres = marks[-1]
        raise Refused("marks", f"At {depth_cm:g} cm the mark says {litres:.3g} L; the tank holds {bath.rim_l:.3g} L.")
