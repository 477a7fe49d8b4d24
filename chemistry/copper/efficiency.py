"""How much copper a charge really moves: what is expected of an electrode, and what weighings have shown."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal, NamedTuple

from chemistry.copper.biting import COPPER_G_PER_AH
from chemistry.measured import Measured, within
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.working import Figure, Input, Working

Verdict = Literal["too small to judge", "as predicted", "less than predicted", "more than predicted"]


class ExpectedEfficiency(NamedTuple):
    """What is known of an electrode before anything was weighed."""

    share: Measured
    source: str = "own estimate"


# Some copper leaves as Cu+ and some by the air in the bath: 1.00 to 1.06; own estimate
ANODE = ExpectedEfficiency(within(1.00, 1.06, ""))
# Some of the current makes Cu+ again or goes astray: 0.95 to 1.00; own estimate
CATHODE = ExpectedEfficiency(within(0.95, 1.00, ""))

FAR_OFF_SDS = 4.0  # a wet plate, a ground weighed with it, amps and volts swapped: no efficiency at all


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """An electrode weighed before and after a charge, clean and dry both times; moved: what it lost or gained. [g]"""

    charge: Measured
    moved: Measured

    def __post_init__(self) -> None:
        # a scale without an error would outweigh every other weighing
        check_range("half width of the scale", self.moved.half_width, 1e-4, 1000.0, "g")

    @property
    def expected_g(self) -> float:
        """What Faraday's law alone expects."""
        return COPPER_G_PER_AH * self.charge.value

    @property
    def is_within_the_scale(self) -> bool:
        """Whether the scale cannot show so little copper at all."""
        return self.expected_g < self.moved.half_width

    @property
    def ratio(self) -> Measured:
        """Copper moved over copper expected; for a charge only."""
        return self.moved.per(self.charge * COPPER_G_PER_AH, "")

    def tells(self, expected: ExpectedEfficiency) -> bool:
        """Whether an efficiency can be learned from it."""
        # a wet plate or swapped figures would drag the mean for years
        if self.is_within_the_scale or self.charge.value <= 0:
            return False
        apart = self.ratio - expected.share
        return abs(apart.value) <= FAR_OFF_SDS * apart.sd

    def verdict(self, efficiency: Measured) -> Verdict:
        """How the weighing stands to what was predicted; a difference within the errors says nothing."""
        if self.is_within_the_scale:
            return "too small to judge"
        apart = self.ratio - efficiency
        if abs(apart.value) <= apart.half_width:
            return "as predicted"
        return "less than predicted" if apart.value < 0 else "more than predicted"


def efficiency(weighings: Sequence[Weighed], expected: ExpectedEfficiency) -> Figure:
    """
    Return the efficiency of an electrode after its weighings: each counts by how well it is known. [-]

    What the scale cannot show and what stands far off teaches nothing.

    Source: mean weighted by 1 / sd².

    >>> weighed = Weighed(charge=Measured(6.0, 0.06, "A·h"), moved=Measured(7.5, 0.072, "g"))
    >>> figure = efficiency([weighed], ANODE)
    >>> print(f"{figure.value:.3f} ± {figure.half_width:.3f}")
    1.043 ± 0.021
    """
    ratios = [weighed.ratio for weighed in weighings if weighed.tells(expected)]
    # what is expected weighs as one weighing more, so that the first plate does not overturn it
    known = 1 / expected.share.sd**2
    weights = [1 / ratio.sd**2 for ratio in ratios]
    learned = sum(weights)
    mean = sum(w * ratio.value for w, ratio in zip(weights, ratios, strict=True)) / learned if ratios else 0.0
    value = (expected.share.value * known + mean * learned) / (known + learned)
    working = Working(
        formula="efficiency = (expected × its weight + weighed × their weight) / (its weight + their weight)",
        inputs=(
            Input.measured("expected", expected.share, "before any weighing"),
            Input(name="its weight", value=known, unit=""),
            Input(
                name="weighed",
                value=mean,
                unit=Sentence("mean of %(count)s weighing", "mean of %(count)s weighings") % {"count": len(ratios)},
            ),
            Input(name="their weight", value=learned, unit=""),
        ),
        source=Sentence("expected: %(source)s; weights are 1 / sd²") % {"source": expected.source},
    )
    return Figure(value=value, unit="", working=working, sd=1 / sqrt(known + learned))
