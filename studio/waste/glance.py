"""A drum as its pages say it."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from django.utils import timezone

from chemistry.waste import streams
from studio.cathodes.descriptions import Status
from studio.drawing.gauges import Jug
from studio.pages.displayed_figure import DisplayedFigure
from studio.waste import descriptions, rinses
from studio.waste.content import IN_ORDER, Content, WasteLine
from studio.waste.models import Drum


@dataclass(frozen=True)
class Glance:
    content: Content

    @property
    def drum(self) -> Drum:
        return self.content.drum

    @cached_property
    def jug(self) -> Jug:
        """The vessel with its level and its stop."""
        drum, room_l = self.drum, self.content.room_l
        level_l = room_l if room_l is not None or self.content.deposits else 0.0
        stop_l = streams.FULL_AT_PERCENT / 100 * drum.capacity_l
        return Jug(name=drum.name, rim_l=drum.capacity_l, volume_l=level_l, mark_l=stop_l)

    @cached_property
    def status(self) -> Status:
        return descriptions.status_of(self.content)

    @property
    def wrong(self) -> str:
        """What the last look found, where nobody has put it right."""
        return descriptions.WRONG if self.content.is_wrong else ""

    @cached_property
    def full(self) -> str:
        return descriptions.full(self.content)

    @property
    def tray(self) -> str:
        """What waits to be emptied into it."""
        return descriptions.tray(rinses.in_the_tray(timezone.now())) if self.drum.kind == "rinse" else ""

    @property
    def seen(self) -> str:
        return descriptions.seen(self.content)

    @cached_property
    def lines(self) -> list[WasteLine]:
        """What was seen and measured, the latest first."""
        content = self.content
        found: list[WasteLine] = [*content.inspections, *content.weighings, *content.test_results]
        return sorted(found, key=IN_ORDER, reverse=True)

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        return descriptions.figures(self.content)


def of(contents: Iterable[Content]) -> list[Glance]:
    return [Glance(each) for each in contents]
