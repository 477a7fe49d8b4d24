"""A cathode as its pages draw and say it, in the studio's units; each part is worked out when a page asks for it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from chemistry.copper import deposition
from chemistry.working import Figure
from studio.baths import estimate
from studio.cathodes import descriptions, drawings, standing
from studio.cathodes.deposition import Checked
from studio.cathodes.descriptions import Status
from studio.cathodes.models import Cathode
from studio.cathodes.standing import Standing
from studio.drawing.charts import Chart
from studio.pages.displayed_figure import DisplayedFigure
from studio.pages.quantities import Shown, Units


@dataclass(frozen=True)
class Row:
    """One weighing or strip, set against its prediction."""

    checked: Checked
    predicted: Shown
    shown: Shown


@dataclass(frozen=True)
class Glance:
    """unread: bites since it was last weighed whose current nobody read."""

    standing: Standing
    units: Units
    unread: int = 0

    @property
    def cathode(self) -> Cathode:
        return self.standing.cathode

    @property
    def status(self) -> Status:
        return descriptions.status_of(self.standing)

    @cached_property
    def on_it(self) -> DisplayedFigure:
        figure = self.standing.deposit
        return DisplayedFigure("Copper on it", descriptions.grams(figure), figure)

    @property
    def thickness(self) -> Shown:
        return descriptions.thickness(self.standing, self.units)

    @property
    def hangs(self) -> str:
        return descriptions.hangs(self.standing)

    @property
    def last(self) -> str:
        return descriptions.last(self.standing)

    @property
    def forecast(self) -> str:
        return descriptions.forecast(self.standing, self.units)

    @property
    def not_counted(self) -> str:
        return descriptions.unread(self.unread)

    @property
    def compared(self) -> str:
        """The last weighing or strip against its prediction."""
        return descriptions.compared(self.standing.last) if self.standing.last else ""

    @cached_property
    def chart(self) -> Chart | None:
        return drawings.chart(self.standing)

    @cached_property
    def rows(self) -> list[Row]:
        """The latest first."""
        return [
            Row(checked, descriptions.grams(checked.predicted), descriptions.shown(checked))
            for checked in reversed(self.standing.checked)
        ]

    @cached_property
    def most_current(self) -> Figure | None:
        """For a firm deposit at the bath's present strength; None in no bath, or in one that nobody has read."""
        if self.standing.bath is None:
            return None
        state = estimate.at_moment(self.standing.bath, self.standing.at)
        if state is None:
            return None
        return deposition.most_current(
            facing_cm2=self.standing.sheet.facing_cm2, strength_g_per_l=state.strength_g_per_l
        )

    @cached_property
    def figures(self) -> list[DisplayedFigure]:
        return list(self._figures())

    def _figures(self) -> Iterator[DisplayedFigure]:
        now = self.standing
        yield self.on_it
        yield DisplayedFigure("Its thickness, as a mean", self.thickness, now.thickness)
        if now.gap_loss:
            yield DisplayedFigure.plain("Gap taken by its lumps", now.gap_loss)
        yield DisplayedFigure.plain("Efficiency of the current here", now.efficiency)
        if self.most_current:
            yield DisplayedFigure.plain("Most current for a firm deposit", self.most_current)
        if now.rate.value:
            yield DisplayedFigure.plain(f"Gathered lately, over {now.lately_days:.0f} days", now.rate)
        if now.span and now.span.days:
            days = Figure(value=now.span.days, unit="days", working=now.span.working)
            yield DisplayedFigure.plain("Until it is to be stripped", days)


def of(standings: Sequence[Standing], units: Units) -> list[Glance]:
    unread = standing.unread(standings)
    return [Glance(each, units, unread[each.cathode.pk]) for each in standings]
