"""How much copper is bare: measured, or a share of the plate as it looks beside drawn examples."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import cos, hypot, sin

from django.utils.translation import gettext as _

from chemistry.measured import Measured
from inventory.refusals import Refused

MEASURED_SD_SHARE = 0.1  # lines measured by rule and counted: own estimate
BY_EYE_SD_SHARE = 0.25  # judged beside the drawn examples: own estimate
EXAMPLES_PERCENT = (2, 5, 10, 20)
WIDTH, HEIGHT, STROKE = 96.0, 72.0, 0.8


def by_rule(cm2: float) -> Measured:
    """Bare copper whose lines were measured and counted."""
    return Measured(cm2, MEASURED_SD_SHARE * cm2, "cm²")


@dataclass(frozen=True, kw_only=True)
class Bare:
    """Bare copper as somebody says it: so many cm², or so much of the plate."""

    cm2: float = 0.0
    percent: float = 0.0

    def on(self, plate_cm2: float | None) -> Measured:
        """
        What that is on a plate with such a face.

        >>> Bare(percent=10).on(310), Bare(cm2=40).on(None)
        (Measured(31, 7.75, 'cm²'), Measured(40, 4, 'cm²'))
        """
        if not self.percent:
            return by_rule(self.cm2)
        # a tenth of a plate that nobody measured is no area
        if plate_cm2 is None:
            raise Refused("exposed", _("A share needs a plate whose size is in the book; give its area."))
        cm2 = self.percent / 100 * plate_cm2
        return Measured(cm2, BY_EYE_SD_SHARE * cm2, "cm²")


Point = tuple[float, float]


def examples() -> list[tuple[int, str]]:
    """Shares of a plate, each with its drawing."""
    return [(percent, path(percent)) for percent in EXAMPLES_PERCENT]


@cache
def path(percent: float) -> str:
    """As many strokes of one little landscape as cover this share of it."""
    left = percent / 100 * WIDTH * HEIGHT / STROKE
    drawn = []
    for stroke in strokes():
        part = up_to(stroke, left)
        drawn.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in part))
        left -= length(part)
        if left <= 0:
            return "".join(drawn)
    raise ValueError(f"the drawing has no {percent} % of lines")


def length(stroke: list[Point]) -> float:
    return sum(hypot(x - a, y - b) for (a, b), (x, y) in zip(stroke, stroke[1:], strict=False))


def up_to(stroke: list[Point], left: float) -> list[Point]:
    """The beginning of a stroke, no longer than what is left to draw."""
    part = [stroke[0]]
    for x, y in stroke[1:]:
        a, b = part[-1]
        step = hypot(x - a, y - b)
        if step >= left:
            return [*part, (a + (x - a) * left / step, b + (y - b) * left / step)]
        part.append((x, y))
        left -= step
    return part


def _hill(x: float) -> float:
    return 46 + 5 * sin(x / 17)


def strokes() -> Iterator[list[Point]]:
    """A hill, a house and a tree on it, then the shade of the hill, then the sky."""
    yield [(x, _hill(x)) for x in range(0, 97, 4)]
    yield [(20, _hill(20)), (20, 33), (30, 25), (40, 33), (40, _hill(40))]
    yield [(28, _hill(28)), (28, 39), (33, 39), (33, _hill(33))]
    yield [(68, _hill(68)), (68, 30)]
    yield [(68 + 8 * sin(turn / 3), 23 + 7 * cos(turn / 3)) for turn in range(20)]
    yield [(68 + 4 * sin(turn / 2), 22 + 3 * cos(turn / 2)) for turn in range(13)]
    for x in range(13, 95, 4):
        yield [(x, _hill(x) + 2), (x - 10, HEIGHT - 3)]
    for y in range(3, 23, 3):
        yield [(2, y), (56, y)]
        yield [(80, y), (94, y)]
    for x in range(3, 85, 4):
        yield [(x, _hill(x) + 2), (x + 10, HEIGHT - 3)]
    for y in range(26, 42, 3):
        yield [(2, y), (18, y)]
        yield [(42, y), (58, y)]
        yield [(78, y), (94, y)]
