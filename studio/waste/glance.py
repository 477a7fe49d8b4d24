"""A drum as its pages say it."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from studio.baths.figures import Told
from studio.cathodes.sayings import Status
from studio.waste import sayings
from studio.waste.content import Content
from studio.waste.models import Drum


@dataclass(frozen=True)
class Glance:
    content: Content

    @property
    def drum(self) -> Drum:
        return self.content.drum

    @cached_property
    def status(self) -> Status:
        return sayings.status_of(self.content)

    @cached_property
    def full(self) -> str:
        return sayings.full(self.content)

    @cached_property
    def figures(self) -> list[Told]:
        return sayings.figures(self.content)


def of(contents: Iterable[Content]) -> list[Glance]:
    return [Glance(each) for each in contents]
