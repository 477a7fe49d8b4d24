"""How much copper a charge really moves: what is expected of an electrode, and what weighings have shown."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import Literal, NamedTuple

from chemistry.copper.biting import COPPER_G_PER_AH
from chemistry.ranges import check_range
from chemistry.working import HALF_WIDTH_SDS, Figure, Input, Working

Verdict = Literal["too small to judge", "as predicted", "less than predicted", "more than predicted"]


class Expected(NamedTuple):
    """What is known of an electrode before anything was weighed."""

    value: float
    sd: float
    source: str = "own estimate"


# Some copper leaves as Cu+ and some by the air in the bath: 1.00 to 1.06; own estimate
ANODE = Expected(1.03, 0.03 / HALF_WIDTH_SDS)
# Some of the current makes Cu+ again or goes astray: 0.95 to 1.00; own estimate
CATHODE = Expected(0.975, 0.025 / HALF_WIDTH_SDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """
    An electrode weighed before and after a charge, clean and dry both times.

    moved_g: what it lost or gained; half_width_g: of one reading of the scale, which is read twice.
    """

    charge_ah: float
    charge_sd_ah: float
    moved_g: float
    half_width_g: float

    def __post_init__(self) -> None:
        check_range("half width of the scale", self.half_width_g, 1e-4, 1000.0, "g")

    @property
    def expected_g(self) -> float:
        """What Faraday's law alone expects."""
        return COPPER_G_PER_AH * self.charge_ah

    @property
    def moved_sd_g(self) -> float:
        return sqrt(2) * self.half_width_g / HALF_WIDTH_SDS

    @property
    def is_within_the_scale(self) -> bool:
        """Whether the scale cannot show so little copper at all."""
        return self.expected_g < HALF_WIDTH_SDS * self.moved_sd_g

    @property
    def ratio(self) -> float:
        return self.moved_g / self.expected_g

    @property
    def ratio_sd(self) -> float:
        return hypot(self.moved_sd_g / self.expected_g, self.charge_sd_ah / self.charge_ah)

    def verdict(self, efficiency: Figure) -> Verdict:
        """How the weighing stands to what was predicted; a difference within the errors says nothing."""
        if self.is_within_the_scale:
            return "too small to judge"
        apart = self.ratio - efficiency.value
        if abs(apart) <= HALF_WIDTH_SDS * hypot(self.ratio_sd, efficiency.sd or 0.0):
            return "as predicted"
        return "less than predicted" if apart < 0 else "more than predicted"


FAR_OFF_SDS = 4.0  # a wet plate, a ground weighed with it, amps and volts swapped: no efficiency at all


def efficiency(weighings: Sequence[Weighed], expected: Expected) -> Figure:
    """
    Return the efficiency of an electrode after its weighings: each counts by how well it is known. [-]

    What the scale cannot show and what stands far off teaches nothing.

    >>> scale = {"charge_sd_ah": 0.06, "half_width_g": 0.1}
    >>> figure = efficiency([Weighed(charge_ah=6.0, moved_g=7.5, **scale)], ANODE)
    >>> print(f"{figure.value:.3f} ± {figure.half_width:.3f}")
    1.043 ± 0.020
    """
    telling = [weighed for weighed in weighings if _tells(weighed, expected)]
    known = 1 / expected.sd**2
    weights = [1 / weighed.ratio_sd**2 for weighed in telling]
    learned = sum(weights)
    mean = sum(w * each.ratio for w, each in zip(weights, telling, strict=True)) / learned if telling else 0.0
    value = (expected.value * known + mean * learned) / (known + learned)
    working = Working(
        formula="efficiency = (expected × its weight + weighed × their weight) / (its weight + their weight)",
        inputs=(
            Input(name="expected", value=expected.value, unit="before any weighing", sd=expected.sd),
            Input(name="its weight", value=known, unit=""),
            Input(name="weighed", value=mean, unit=f"mean of {len(telling)} weighings"),
            Input(name="their weight", value=learned, unit=""),
        ),
        source=f"expected: {expected.source}; weights are 1 / sd²",
    )
    return Figure(value=value, unit="", working=working, sd=1 / sqrt(known + learned))


def _tells(weighed: Weighed, expected: Expected) -> bool:
    if weighed.is_within_the_scale or weighed.charge_ah <= 0:
        return False
    return abs(weighed.ratio - expected.value) <= FAR_OFF_SDS * hypot(weighed.ratio_sd, expected.sd)
