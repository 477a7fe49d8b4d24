"""A computed figure as a page shows it, together with how it was worked out."""

from dataclasses import dataclass

from chemistry.working import Figure, Working
from studio.pages.quantities import Shown, with_spread


@dataclass(frozen=True)
class DisplayedFigure:
    """A figure as the studio reads it, and its working, which is in the unit of the sum."""

    name: str
    shown: Shown
    figure: Figure

    @classmethod
    def plain(cls, name: str, figure: Figure) -> "DisplayedFigure":
        """A figure that every studio reads in the unit of its sum."""
        return cls(name, with_spread(figure.value, figure.sd, figure.unit), figure)

    @property
    def summary(self) -> str:
        """The name and the figure; once more in the unit of the sum where the studio reads another."""
        also = f" ({self.of_the_sum})" if self.of_the_sum else ""
        return f"{self.name}: {self.shown}{also}"

    @property
    def of_the_sum(self) -> Shown | None:
        """The figure in the unit of the sum, where the studio reads another."""
        figure = with_spread(self.figure.value, self.figure.sd, self.figure.unit)
        return None if figure.unit == self.shown.unit else figure

    @property
    def working(self) -> Working:
        return self.figure.working
