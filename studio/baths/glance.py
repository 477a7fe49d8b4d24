"""A bath as its pages draw and say it, in the studio's units; each part is worked out when a page asks for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from studio.baths import descriptions, drawings, figures, readings, standing
from studio.baths.descriptions import Advice
from studio.baths.figures import Told
from studio.baths.models import Bath, BathEvent
from studio.baths.readings import Comparison
from studio.baths.standing import Standing
from studio.drawing.charts import Chart
from studio.drawing.gauges import Jug, Rule
from studio.pages.quantities import Shown, Units


@dataclass(frozen=True)
class Glance:
    standing: Standing
    units: Units

    @property
    def bath(self) -> Bath:
        return self.standing.bath

    @cached_property
    def jug(self) -> Jug:
        return drawings.jug(self.standing)

    @cached_property
    def rule(self) -> Rule:
        return drawings.rule(self.standing, self.units)

    @cached_property
    def chart(self) -> Chart | None:
        return drawings.chart(self.standing, self.units)

    @cached_property
    def strength(self) -> Told | None:
        return figures.strength(self.standing, self.units) if self.standing.state else None

    @cached_property
    def volume(self) -> Told | None:
        return figures.volume(self.standing) if self.standing.state else None

    @cached_property
    def copper(self) -> Told | None:
        return figures.copper(self.standing) if self.standing.state else None

    @cached_property
    def figures(self) -> list[Told]:
        return figures.of(self.standing, self.units)

    @property
    def falls_below(self) -> Shown | None:
        """The temperature below which crystals fall out, where it is known and ice does not come first."""
        below_c = None if self.standing.is_unsure else self.standing.below_c
        return self.units.temperature(below_c.value, below_c.sd) if below_c else None

    @property
    def last_read(self) -> str:
        return descriptions.last_read(self.standing)

    @property
    def last_topped_up(self) -> str:
        return descriptions.last_topped_up(self.standing)

    @property
    def room(self) -> str:
        return descriptions.room(self.standing)

    @property
    def lid(self) -> str:
        return descriptions.lid(self.standing)

    @property
    def tonight(self) -> str:
        return descriptions.tonight(self.standing, self.units)

    @property
    def unsure(self) -> str:
        return descriptions.unsure(self.standing, self.units)

    @property
    def refill(self) -> str:
        return descriptions.refill(self.standing, self.units)

    @property
    def water_due(self) -> str:
        return descriptions.water_due(self.standing)

    @cached_property
    def advice(self) -> Advice | None:
        return descriptions.advice(self.standing, self.units)

    @property
    def sentence(self) -> str:
        """What is said of it among other baths."""
        return self.advice.sentence if self.advice else self.lid

    @property
    def own_sentence(self) -> str:
        """What is said of it on its own page, where lid, night and held-out readings have their own places."""
        advice = self.own_advice
        if self.unsure:
            return f"{self.unsure} {self.refill}".strip()
        return self.refill or (advice.sentence if advice and not advice.pressing else "")

    @property
    def own_advice(self) -> Advice | None:
        return None if self.standing.held_out or self.standing.state is None else self.advice

    @cached_property
    def held_out(self) -> list[tuple[BathEvent, Comparison]]:
        """Readings that wait for an answer, each beside what the book says."""
        compared = ((reading, readings.held_out(reading, self.units)) for reading in self.standing.held_out)
        return [(reading, comparison) for reading, comparison in compared if comparison]


def at(baths: Sequence[Bath], units: Units) -> list[Glance]:
    """Baths as they stand now."""
    return [Glance(each, units) for each in standing.of(baths)]
