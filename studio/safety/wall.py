"""The sheet that hangs in the room: which pole is which, what to do first, each bath's range, whom to call."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from chemistry.hazards.advice import ROOM
from studio.baths.models import Bath
from studio.baths.status import BathStatus
from studio.hazards.classification import classify_baths
from studio.pages.quantities import Shown, Units
from studio.safety.summaries import MarkedSentence, SummarySection

MOST_BATHS, MOST_NAMED = 8, 4  # more would push the sheet over its page; each bath has a card of its own
ROWS_OF_ACID = 3  # of the table, for each line that is said of acid


class SourBaths(NamedTuple):
    """
    Baths of which one thing is said: what they do to skin and eyes, and what to do then.

    more: how many others there are, for which the sheet has no room. is_known: somebody said that they hold acid.
    """

    baths: Sequence[Bath]
    more: int
    is_known: bool
    burns: Sequence[str]
    skin: Sequence[MarkedSentence]


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


def sour_baths(every: Iterable[BathStatus], region: str) -> list[SourBaths]:
    """Baths with sulfuric acid, and those of which nobody has said; they are at their worst, as on their labels."""
    statuses = [each for each in every if each.state and each.state.may_hold_acid]
    found = classify_baths(statuses, region)
    alike: dict[tuple, list[Bath]] = {}
    for each in statuses:
        hazards = found[each.bath.pk].dried
        told = (hazards.burns, hazards.skin_beside_eyes)
        alike.setdefault((each.state is not None and each.state.has_acid, *told), []).append(each.bath)
    return [
        SourBaths(
            baths=of[:MOST_NAMED],
            more=max(0, len(of) - MOST_NAMED),
            is_known=is_known,
            burns=[each.words for each in burns],
            skin=list(map(MarkedSentence.from_advice, skin)),
        )
        for (is_known, burns, skin), of in sorted(alike.items(), key=lambda told: not told[0][0])
    ]
