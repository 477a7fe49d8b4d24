"""The sheet that hangs in the room: which pole is which, what to do first, each bath's range, whom to call."""

from collections.abc import Sequence
from typing import NamedTuple

from chemistry.hazards.advice import ROOM
from studio.baths.models import Bath
from studio.pages.quantities import Shown, Units
from studio.safety.summaries import MarkedSentence, SummarySection

MOST_BATHS = 8  # more would push the sheet over its page; each bath has a card of its own


class WorkingRange(NamedTuple):
    """A bath, between which strengths it is worked, and how full it stands."""

    bath: Bath
    low: Shown
    high: Shown


def sections() -> dict[str, SummarySection]:
    """What the sheet says, by the ids of data/room.toml."""
    return {
        id: SummarySection(section.title, list(map(MarkedSentence.from_advice, section.lines)))
        for id, section in ROOM.items()
    }


def ranges(baths: Sequence[Bath], units: Units) -> list[WorkingRange]:
    return [
        WorkingRange(bath, units.strength(bath.range_low_g_per_l), units.strength(bath.range_high_g_per_l))
        for bath in baths
    ]
