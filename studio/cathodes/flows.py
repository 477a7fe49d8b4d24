"""The balance drawn: what came in on the left, what is there and what left on the right, as wide as it is heavy."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.measured import Measured, plain
from studio.cathodes.balance import CAME, IN_WASTE, WENT, CopperAccount
from studio.drawing import hatching
from studio.pages.quantities import Shown, with_spread

LEFT_BAR, POOL, RIGHT_BAR, BAR_WIDTH = 134.0, 235.0, 336.0, 10.0
TOP, ROW, SCALED_HEIGHT, LEAST_HEIGHT = 96.0, 50.0, 190.0, 1.5
NAMES = {
    "baths before": gettext_lazy("Baths then"),
    "cathodes before": gettext_lazy("Cathodes then"),
    "off plates": gettext_lazy("Off plates"),
    "crystals": gettext_lazy("Crystals"),
    "solution": gettext_lazy("Solution"),
    "adopted": gettext_lazy("Adopted"),
    "baths now": gettext_lazy("Baths now"),
    "cathodes now": gettext_lazy("Cathodes now"),
    "unknown sheets": gettext_lazy("Other sheets"),
    "metal in drums": gettext_lazy("Metal drums"),
    "stripped": gettext_lazy("Stripped"),
    "powder": gettext_lazy("Powder"),
    "poured in": gettext_lazy("Other baths"),
    "poured over": gettext_lazy("Other baths"),
    "waste": gettext_lazy("In waste"),
    "unexplained": gettext_lazy("Unexplained"),
}


@dataclass(frozen=True, kw_only=True)
class Ribbon:
    """One amount: its bar at the edge, and the way it takes into the middle."""

    name: str
    shown: Shown
    bar_x: float
    y: float
    height: float
    pool_y: float
    is_hatched: bool = False

    @property
    def label_y(self) -> str:
        return f"{self.y + min(self.height / 2, ROW):.1f}"

    @property
    def bar(self) -> str:
        return f"M{self.bar_x:.0f} {self.y:.1f}h{BAR_WIDTH:.0f}v{self.height:.1f}h-{BAR_WIDTH:.0f}z"

    @property
    def hatch(self) -> str:
        if not self.is_hatched:
            return ""
        return hatching.crossed(self.bar_x, self.bar_x + BAR_WIDTH, self.y, self.y + self.height, every=4)

    @property
    def way(self) -> str:
        """An outline from bar to pool, bent half way."""
        left = self.bar_x < POOL
        start = self.bar_x + BAR_WIDTH if left else POOL + BAR_WIDTH
        end = POOL if left else self.bar_x
        middle = (start + end) / 2
        here, there = (self.y, self.pool_y) if left else (self.pool_y, self.y)
        return (
            f"M{start:.0f} {here:.1f}C{middle:.0f} {here:.1f} {middle:.0f} {there:.1f} {end:.0f} {there:.1f}"
            f"v{self.height:.1f}C{middle:.0f} {there + self.height:.1f} {middle:.0f} {here + self.height:.1f} "
            f"{start:.0f} {here + self.height:.1f}z"
        )


@dataclass(frozen=True)
class Flows:
    account: CopperAccount

    @cached_property
    def came(self) -> list[tuple[str, Measured]]:
        """Name and grams of each; what more is there than came in stands here too."""
        return self._listed(CAME, is_missing_side=False)

    @cached_property
    def went(self) -> list[tuple[str, Measured]]:
        return self._listed((*[name for name in WENT if name not in IN_WASTE], "waste"), is_missing_side=True)

    @cached_property
    def left(self) -> list[Ribbon]:
        return self._ribbons(self.came, LEFT_BAR)

    @cached_property
    def right(self) -> list[Ribbon]:
        return self._ribbons(self.went, RIGHT_BAR)

    @property
    def pool(self) -> str:
        """The middle, where all of it meets."""
        height = max((sum(ribbon.height for ribbon in side) for side in (self.left, self.right)), default=0.0)
        return f"M{POOL:.0f} {self.pool_top:.1f}h{BAR_WIDTH:.0f}v{height:.1f}h-{BAR_WIDTH:.0f}z"

    @property
    def height(self) -> str:
        ends = [ribbon.y + max(ribbon.height, ROW / 2) for ribbon in (*self.left, *self.right)]
        return f"{max(ends, default=TOP) + ROW / 2:.0f}"

    @property
    def title(self) -> str:
        return _("Where the copper went, %(period)s") % {"period": self.account.period}

    @property
    def desc(self) -> str:
        return _("Came in: %(side_in_words)s. Is there or left: %(side_in_words_2)s.") % {
            "side_in_words": self.side_in_words(self.came),
            "side_in_words_2": self.side_in_words(self.went),
        }

    @property
    def before(self) -> Sequence[tuple[str, str, float]]:
        """The way of the metal before a bath, not to scale: name, amount and where its box stands."""
        sheets = self.account.sheets
        off = self.account.amount("off plates")
        bought = kilograms(sheets.bought) if sheets.contents else _("needs info")
        cut = kilograms(sheets.became_plates) if sheets.became_plates.value else "none"
        return [
            (_("Sheet bought"), str(bought), 0.0),
            (_("Cut to plates"), str(cut), 168.0),
            (_("Bitten away"), str(grams(off)), 336.0),
        ]

    def _listed(self, names: Sequence[str], *, is_missing_side: bool) -> list[tuple[str, Measured]]:
        listed = []
        for name in names:
            copper = self.account.amount(*(IN_WASTE if name == "waste" else (name,)))
            # a ribbon has no width below nought; by the tables the amount is told all the same
            if copper.value > 0:
                listed.append((name, copper))
        unexplained = self.account.balance.unexplained
        # what is missing stands where copper went, what is too much where it came from
        if (unexplained.value >= 0) == is_missing_side:
            listed.append(("unexplained", unexplained if is_missing_side else unexplained * -1))
        return listed

    @cached_property
    def _scale(self) -> float:
        heaviest = max(sum(copper.value for _, copper in side) for side in (self.came, self.went))
        return SCALED_HEIGHT / heaviest if heaviest else 0.0

    @property
    def pool_top(self) -> float:
        return TOP + ROW / 2

    def _ribbons(self, side: Sequence[tuple[str, Measured]], bar_x: float) -> list[Ribbon]:
        ribbons, y, pool_y = [], TOP, self.pool_top
        for name, copper in side:
            # a gram beside a kilogram would be thinner than the ink
            height = max(LEAST_HEIGHT, copper.value * self._scale)
            ribbons.append(
                Ribbon(
                    name=str(NAMES[name]),
                    shown=grams(copper),
                    bar_x=bar_x,
                    y=y + max(0.0, (ROW - height) / 2),
                    height=height,
                    pool_y=pool_y,
                    is_hatched=name == "unexplained" and not self.account.balance.closes,
                )
            )
            # a row at least, however thin the ribbon, or labels would stand on each other
            y += max(height + 8, ROW)
            pool_y += height
        return ribbons

    @staticmethod
    def side_in_words(side: Sequence[tuple[str, Measured]]) -> str:
        return ", ".join(f"{str(NAMES[name]).lower()} {grams(copper)}" for name, copper in side) or _("nothing")


def grams(copper: Measured) -> Shown:
    return with_spread(copper.value, copper.sd, "g") if copper.sd else Shown(plain(copper.value, 1), "g")


def kilograms(copper: Measured) -> Shown:
    return with_spread(copper.value / 1000, copper.sd / 1000, "kg") if abs(copper.value) >= 1000 else grams(copper)
