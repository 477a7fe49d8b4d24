"""A tank's own dipstick: centimetres to litres by the marks taken in it, or by its surface where there are none."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from django.utils.translation import gettext as _

from chemistry.quantity import quantity
from studio.baths.models import Bath

CM3_PER_L = 1000
HALF_WIDTH_CM = 0.2  # ± of a level read by eye; common practice, no source


@dataclass(frozen=True)
class Level:
    """A level as it was read: on the dipstick, or straight in litres. typed: in the unit it was read in."""

    depth_cm: float | None = None
    litres: float = 0.0
    typed: str = field(default="", compare=False)

    def volume_l(self, stick: "Dipstick") -> float:
        return self.litres if self.depth_cm is None else stick.litres(self.depth_cm)

    def words(self, stick: "Dipstick") -> str:
        """
        >>> Level(depth_cm=29.7).words(Dipstick(marks=(), surface_cm2=400))
        '29.7 cm, which is 11.9 L'
        >>> Level(depth_cm=29.7, typed="11.7 in").words(Dipstick(marks=(), surface_cm2=400))
        '11.7 in, which is 11.9 L'
        """
        volume = quantity(self.volume_l(stick), "L", 3)
        if self.depth_cm is None:
            return volume
        depth = self.typed or quantity(self.depth_cm, "cm")
        return _("%(depth)s, which is %(volume)s") % {"depth": depth, "volume": volume}


@dataclass(frozen=True)
class Dipstick:
    """
    Marks as (cm, litres), both rising; between two of them the level rises evenly, above the last with the surface.

    >>> stick = Dipstick(marks=((10, 4.1), (20, 8.1)), surface_cm2=400)
    >>> [round(stick.litres(depth), 2) for depth in (5, 15, 22.5)]
    [2.05, 6.1, 9.1]
    """

    marks: Sequence[tuple[float, float]]
    surface_cm2: float

    def litres(self, depth_cm: float) -> float:
        for (low_cm, low_l), (high_cm, high_l) in pairwise(self.points):
            if depth_cm <= high_cm:
                return low_l + (depth_cm - low_cm) * (high_l - low_l) / (high_cm - low_cm)
        # above the last mark a tank is taken to go straight up
        top_cm, top_l = self.points[-1]
        return top_l + (depth_cm - top_cm) * self.litres_per_cm

    def depth_cm(self, litres: float) -> float:
        """
        The depth at which so much stands in the tank.

        >>> round(Dipstick(marks=((10, 4.1), (20, 8.1)), surface_cm2=400).depth_cm(6.1), 1)
        15.0
        """
        for (low_cm, low_l), (high_cm, high_l) in pairwise(self.points):
            if litres <= high_l:
                return low_cm + (litres - low_l) * (high_cm - low_cm) / (high_l - low_l)
        top_cm, top_l = self.points[-1]
        return top_cm + (litres - top_l) / self.litres_per_cm

    @property
    def half_width_l(self) -> float:
        """
        ± of a level read by eye, in litres.

        >>> round(Dipstick(marks=(), surface_cm2=400).half_width_l, 3)
        0.08
        """
        return HALF_WIDTH_CM * self.litres_per_cm

    @property
    def litres_per_cm(self) -> float:
        return self.surface_cm2 / CM3_PER_L

    @property
    def points(self) -> list[tuple[float, float]]:
        """The marks from the floor of the tank up."""
        # an empty tank holds nothing, whoever marked only its upper half
        below = [] if self.marks and self.marks[0][0] == 0 else [(0.0, 0.0)]
        return [*below, *self.marks]


def dipstick_of(bath: Bath) -> Dipstick:
    return Dipstick(tuple((depth_cm, litres) for depth_cm, litres in bath.marks), bath.surface_cm2)


def surface_cm2(marks: Sequence[tuple[float, float]]) -> float | None:
    """
    The open surface that the upper two marks tell; None when there are too few.

    >>> surface_cm2([(10, 4.1), (20, 8.1)])
    400.0
    """
    if len(marks) < 2:
        return None
    (low_cm, low_l), (high_cm, high_l) = marks[-2:]
    return round(CM3_PER_L * (high_l - low_l) / (high_cm - low_cm), 1)
