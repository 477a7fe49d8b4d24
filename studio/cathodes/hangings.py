"""
Which cathode hung in which bath, and when.

All of it follows from the standing entries: a cathode hangs until it is taken out, hung elsewhere, or makes room for
another. Struck entries leave no gap and no overlap behind.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import NamedTuple

from inventory.models import Entry
from studio.baths.models import Bath
from studio.cathodes.models import Cathode, Hanging


class Moment(NamedTuple):
    """A place in the book."""

    at: datetime
    entry_id: int

    @classmethod
    def of(cls, entry: Entry) -> "Moment":
        return cls(entry.happened_at, entry.pk)


@dataclass(frozen=True, kw_only=True)
class CathodeInstallation:
    """A cathode in a bath, from one place in the book to another; until is None while it hangs there."""

    cathode_id: int
    bath: Bath
    since: Moment
    until: Moment | None = None

    def holds(self, moment: Moment) -> bool:
        return self.since <= moment and (self.until is None or moment < self.until)


def stays(at: datetime | None = None) -> list[CathodeInstallation]:
    """Every stay that had begun by a moment, in the order in which they began."""
    return stays_of_hangings(written_until(at))


def written_until(at: datetime | None) -> list[Hanging]:
    """Of all cathodes in the order of the book, since one leaves a bath by being hung in another."""
    hangings = Hanging.objects.standing_at(at).filter(cathode__entry__struck_at=None)
    return list(hangings.select_related("entry", "bath").order_by("entry__happened_at", "entry_id", "pk"))


def stays_of_hangings(hangings: Iterable[Hanging]) -> list[CathodeInstallation]:
    """In the order in which they began; hangings: in the order of the book."""
    return sorted(begun_and_ended(hangings), key=lambda stay: stay.since)


def begun_and_ended(hangings: Iterable[Hanging]) -> Iterator[CathodeInstallation]:
    hung: list[CathodeInstallation] = []
    for hanging in hangings:
        moment = Moment.of(hanging.entry)
        # two sheets in one bath would share its bites, and nobody could say how
        ending = [stay for stay in hung if stay.cathode_id == hanging.cathode_id or stay.bath == hanging.bath]
        yield from (replace(stay, until=moment) for stay in ending)
        hung = [stay for stay in hung if stay not in ending]
        if hanging.bath:
            hung.append(CathodeInstallation(cathode_id=hanging.cathode_id, bath=hanging.bath, since=moment))
    yield from hung


def bath_of(cathode: Cathode, at: datetime) -> Bath | None:
    return next((stay.bath for stay in stays(at) if stay.cathode_id == cathode.pk and stay.until is None), None)
