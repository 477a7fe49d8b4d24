"""
Sizes of labels, and the largest letters in which something fits on one.

CLP Annex I, Table 1.3, read; a sign is measured along its sides (the German CLP helpdesk, read). The two smallest are
for a workplace alone: their signs are below that table.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy

from chemistry.hazards.labels import SMALL_PACKAGE_ML
from studio.pages.fields import with_quantities
from studio.printing import press

LEAST_PT, MOST_PT, STEP_PT = 7.0, 24.0, 0.5  # 7 points of these letters have an x-height of 1.2 mm
LETTERS_PT: Sequence[float] = [MOST_PT - number * STEP_PT for number in range(int((MOST_PT - LEAST_PT) / STEP_PT) + 1)]


@dataclass(frozen=True, kw_only=True)
class LabelSize:
    """
    id: the class of label.css that has its signs.

    most_l: what it is stuck on holds no more, or its signs are too small. [L]
    """

    id: str
    name: Promise
    width_mm: float
    height_mm: float
    margin_mm: float
    most_l: float

    @property
    def rules(self) -> str:
        """Its measures, as rules of a stylesheet."""
        return f"@page label {{ size: {self.width_mm}mm {self.height_mm}mm; margin: {self.margin_mm}mm }}"


SIZES = {
    size.id: size
    for size in (
        LabelSize(
            id="bottle",
            name=with_quantities(
                gettext_lazy("for a bottle of up to %(volume)s, %(sides)s: milder hazards by its code alone"),
                of=(52.5, 29.7),
                volume=(SMALL_PACKAGE_ML, "mL"),
            ),
            width_mm=52.5,
            height_mm=29.7,
            margin_mm=1.5,
            most_l=SMALL_PACKAGE_ML / 1000,
        ),
        LabelSize(
            id="jar",
            name=with_quantities(
                gettext_lazy("for a small jar, %(sides)s"),
                of=(70, 37),
            ),
            width_mm=70,
            height_mm=37,
            margin_mm=1.5,
            most_l=3,
        ),
        LabelSize(
            id="a8",
            name=with_quantities(gettext_lazy("for a jar, %(sides)s"), of=(74, 52)),
            width_mm=74,
            height_mm=52,
            margin_mm=2,
            most_l=3,
        ),
        LabelSize(
            id="a7",
            name=with_quantities(gettext_lazy("for a bottle, %(sides)s"), of=(105, 74)),
            width_mm=105,
            height_mm=74,
            margin_mm=4,
            most_l=3,
        ),
        LabelSize(
            id="a6",
            name=with_quantities(
                gettext_lazy("for a can of up to %(volume)s, %(sides)s"),
                of=(148, 105),
                volume=(50, "L"),
            ),
            width_mm=148,
            height_mm=105,
            margin_mm=6,
            most_l=50,
        ),
        LabelSize(
            id="a5",
            name=with_quantities(
                gettext_lazy("for a tank or a drum of up to %(volume)s, %(sides)s"),
                of=(210, 148),
                volume=(500, "L"),
            ),
            width_mm=210,
            height_mm=148,
            margin_mm=8,
            most_l=500,
        ),
    )
}
USUAL = ("a8", "a6", "a5")


def size_for(litres: float) -> str:
    """The smallest of the usual ones that is large enough for what holds so much; past the largest, that one."""
    return next((size for size in USUAL if litres <= SIZES[size].most_l), USUAL[-1])


def letters_that_fill(html: str, rules: str) -> float | None:
    """The largest in which it is one label of these measures; None where no letters are small enough."""
    return press.fit(html, letters_pt=LETTERS_PT, rules=rules)
