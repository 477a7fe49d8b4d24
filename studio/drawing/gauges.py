"""A bath at a glance: the jug with its level, and the rule with its strength. Geometry only; the components draw it."""

from dataclasses import dataclass
from functools import cached_property
from math import floor

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.drawing import hatching, scales
from studio.pages.quantities import NO_BREAK

JUG_LEFT, JUG_RIGHT, JUG_RIM, JUG_FLOOR = 14.0, 90.0, 14.0, 138.0
RULE_LEFT, RULE_RIGHT = 12.0, 388.0
# two lanes, because a warm bath may well work where a cold night lets crystals fall
RANGE_LANE, CRYSTALS_LANE = (11.0, 20.0), (21.0, 30.0)


@dataclass(frozen=True, kw_only=True)
class Jug:
    """A tank filled to its level; volume_l is None while nobody has read it."""

    name: str
    rim_l: float
    volume_l: float | None
    mark_l: float | None = None
    crystals: bool = False

    @property
    def is_read(self) -> bool:
        return self.volume_l is not None

    def y(self, litres: float) -> float:
        """Where a volume stands on the drawing; more than the rim holds stands at the rim."""
        # a tank filled above its rim would be drawn outside of the page
        share = min(max(litres / self.rim_l, 0), 1)
        return JUG_FLOOR - share * (JUG_FLOOR - JUG_RIM)

    @cached_property
    def surface(self) -> str:
        return f"{self.y(self.volume_l or 0):.1f}"

    @property
    def liquid(self) -> str:
        depth = JUG_FLOOR - float(self.surface)
        # a puddle on the floor is lower than the corner is round
        corner = min(6.0, depth)
        side = depth - corner
        return f"M14 {self.surface}h76v{side:.1f}q0 {corner:.1f}-6 {corner:.1f}H20q-6 0-6-{corner:.1f}z"

    @property
    def hatch(self) -> str:
        return hatching.level(JUG_LEFT + 2, JUG_RIGHT - 2, float(self.surface), JUG_FLOOR, every=5)

    @property
    def mark(self) -> str:
        """The mark the bath is topped up to, as a pointer on the wall."""
        return f"M3 {self.y(self.mark_l) - 5:.1f}l9 5-9 5z" if self.mark_l else ""

    @property
    def graduation(self) -> str:
        """Lines on the wall at round litres, every fifth one longer."""
        scale = scales.holding(0, self.rim_l, most_steps=14)
        # no line at the rim itself, where it would thicken the wall
        marks = [(i, mark) for i, mark in enumerate(scale.marks) if 0 < mark <= self.rim_l * 0.97]
        return "".join(f"M{75 if i % 5 else 70} {self.y(mark):.1f}H81" for i, mark in marks)

    @property
    def label(self) -> str:
        if self.volume_l is None:
            return _("%(name)s: not read yet") % {"name": self.name}
        words = _("%(name)s: %(share)s of the tank")
        if self.crystals:
            words = _("%(name)s: %(share)s of the tank, crystals on the floor")
        return words % {"name": self.name, "share": f"{self.volume_l / self.rim_l:.0%}"}


@dataclass(frozen=True, kw_only=True)
class RulerScale:
    """
    A strength on a scale: the working range, from where crystals fall out, the value and its 95 % interval.

    value is None while the bath is unread; crystals_from is None where ice would come first.
    """

    value: float | None
    half_width: float = 0.0
    working: tuple[float, float]
    crystals_from: float | None = None
    unit: str = "g/L"
    name: str | Promise = gettext_lazy("Strength")
    decimals: int = 0

    @cached_property
    def scale(self) -> scales.Scale:
        """Wide enough for everything drawn, with air on both sides."""
        shown = [*self.working]
        if self.value is not None:
            shown += [self.value - self.half_width, self.value + self.half_width]
        if self.crystals_from is not None:
            shown.append(self.crystals_from)
        air = (max(shown) - min(shown)) / 5
        return scales.holding(max(0, min(shown) - air), max(shown) + air, most_steps=6)

    def x(self, value: float) -> float:
        """Where a strength stands on the rule; beyond an end, such as below nothing, it stands at the end."""
        # a spread may reach below nothing, and no rule does
        value = min(max(value, self.scale.low), self.scale.high)
        share = (value - self.scale.low) / (self.scale.high - self.scale.low)
        return RULE_LEFT + share * (RULE_RIGHT - RULE_LEFT)

    @cached_property
    def numbers(self) -> list[tuple[str, str]]:
        return [(f"{self.x(mark):.1f}", self.scale.label(mark)) for mark in self.scale.marks]

    @property
    def last_number(self) -> str:
        """At the end of the rule, with the unit of all of them."""
        return f"{self.numbers[-1][1]}{NO_BREAK}{self.unit}"

    @property
    def long_marks(self) -> str:
        return "".join(f"M{at} 30v6" for at, _ in self.numbers)

    @property
    def short_marks(self) -> str:
        """Five to a number, so that a figure can be read off between them."""
        fifth = self.scale.step / 5
        count = floor((self.scale.high - self.scale.low) / fifth + 0.5)
        return "".join(f"M{self.x(self.scale.low + i * fifth):.1f} 30v3" for i in range(count) if i % 5)

    @property
    def range_box(self) -> str:
        return box_path(self.x(self.working[0]), self.x(self.working[1]), *RANGE_LANE)

    @property
    def range_hatch(self) -> str:
        return hatching.upright(self.x(self.working[0]), self.x(self.working[1]), *RANGE_LANE, every=4)

    @property
    def crystals_box(self) -> str:
        return "" if self.crystals_from is None else box_path(self.x(self.crystals_from), RULE_RIGHT, *CRYSTALS_LANE)

    @property
    def crystals_hatch(self) -> str:
        if self.crystals_from is None:
            return ""
        return hatching.crossed(self.x(self.crystals_from), RULE_RIGHT, *CRYSTALS_LANE, every=5)

    @property
    def marker(self) -> str:
        return "" if self.value is None else f"M{self.x(self.value):.1f} 3V37"

    @property
    def spread(self) -> str:
        """The box of the 95 % interval around the marker."""
        if self.value is None or not self.half_width:
            return ""
        return box_path(self.x(self.value - self.half_width), self.x(self.value + self.half_width), 6, 30)

    @property
    def label(self) -> str:
        if self.value is None:
            return _("%(name)s: not read yet; %(zones)s") % {"name": self.name, "zones": self.zones}
        spread = f"{NO_BREAK}±{NO_BREAK}{self.half_width:.{self.decimals}f}" if self.half_width else ""
        return f"{self.name}: {self.value:.{self.decimals}f}{spread}{NO_BREAK}{self.unit}; {self.zones}"

    @property
    def zones(self) -> str:
        """The two hatchings in words."""
        low, high = self.working
        words = _("working range %(low)s–%(high)s")
        if self.crystals_from is not None:
            words = _("working range %(low)s–%(high)s, crystals from %(crystals)s")
        places = {"low": low, "high": high, "crystals": self.crystals_from or 0.0}
        return words % {name: f"{value:.{self.decimals}f}" for name, value in places.items()}


def box_path(left: float, right: float, top: float, bottom: float) -> str:
    return f"M{left:.1f} {top:.0f}H{right:.1f}V{bottom:.0f}H{left:.1f}z"
