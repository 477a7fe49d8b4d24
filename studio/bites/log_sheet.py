"""A log sheet that was filled in by hand: all of its rows are written at once, or none."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from django.db import transaction
from django.utils import timezone

from chemistry.bath import Reading
from inventory.book import Signed
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import operations as baths
from studio.baths.models import Bath
from studio.baths.salt import Portion
from studio.bites import operations as bites
from studio.bites.operations import CurrentReading, Ending, Setting

ACTS = ("read 0", "read 1", "top up", "bite")


@dataclass(frozen=True, kw_only=True)
class SheetRow:
    """What one line says was done at its time: read, then topped up, then bitten. by: with the line's own key."""

    by: Signed
    readings: Sequence[tuple[Reading, str]] = ()
    water_l: float = 0.0
    salt: Sequence[Portion] = ()
    salt_anyway: str = ""
    weak_anyway: bool = False
    bite: tuple[Setting, Ending, Sequence[CurrentReading]] | None = None
    unusual_anyway: bool = False

    def by_act(self, act: str) -> Signed:
        """Each act is an entry of its own; all of them come again under the same keys."""
        return replace(self.by, key=uuid5(self.by.key, act)) if self.by.key else self.by


def keys_of(key: UUID) -> list[UUID]:
    """Of all that a line with this key may write."""
    return [uuid5(key, act) for act in ACTS]


class RowRefused(Exception):
    """One line is refused, and with it the sheet."""

    def __init__(self, place: int, refusal: Refused):
        super().__init__(place)
        self.place, self.refusal = place, refusal


@transaction.atomic
def write(bath: Bath, rows: Sequence[SheetRow]) -> list[Entry]:
    """In the order of their times, whatever order they stand in; raises RowRefused with the place of the line."""
    written = []
    for place, row in sorted(enumerate(rows), key=lambda each: each[1].by.happened_at or timezone.now()):
        try:
            written += write_row(bath, row)
        except Refused as refusal:
            raise RowRefused(place, refusal) from refusal
    return written


def write_row(bath: Bath, row: SheetRow) -> list[Entry]:
    written = [
        baths.read(bath, reading, words=words, by=row.by_act(f"read {number}"))
        for number, (reading, words) in enumerate(row.readings)
    ]
    if row.water_l or row.salt:
        poured = baths.top_up(
            bath,
            water_l=row.water_l,
            salt=row.salt,
            by=row.by_act("top up"),
            salt_anyway=row.salt_anyway,
            weak_anyway=row.weak_anyway,
        )
        written.append(poured)
    if row.bite:
        setting, ending, readings = row.bite
        bitten = bites.note(
            bath,
            setting=setting,
            ending=ending,
            readings=readings,
            by=row.by_act("bite"),
            unusual_anyway=row.unusual_anyway,
        )
        written.append(bitten)
    return written
