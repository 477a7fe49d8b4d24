"""Line work that covers so much of a plate: small drawings to hold one's own plate beside."""

from collections.abc import Iterator
from functools import cache
from math import cos, hypot, sin

WIDTH, HEIGHT, STROKE = 96.0, 72.0, 0.8

Point = tuple[float, float]


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
