"""What is in a drum, as ingredients of a mixture: as far as its kind and its copper tell, at the worst end of both."""

from collections.abc import Mapping, Sequence

from chemistry.bath.events import STRONGEST_G_PER_L
from chemistry.hazards import composition
from chemistry.hazards.ingredients import Ingredient
from chemistry.solution.sulfate import COPPER_PER_BLUE
from studio.hazards.classification import rounded_up
from studio.waste.content import Content
from studio.waste.models import TestResult

COPPER_SULFATE = frozenset({"bath_spent", "rinse"})  # and water, and nothing else
MG_PER_G = 1000
# what a kind may be all of, at the worst: of its sludges that of lye
AT_WORST: Mapping[str, str] = {
    "bath_mud": "copper_metal_fine",
    "cathode_powder": "copper_metal_fine",
    "sludge": "copper_hydroxide",
    "cathode_copper": "copper_metal_massive",
}
CORROSIVE_FROM_PH = 11.5


def ingredients(content: Content) -> Sequence[Ingredient]:
    """Nothing where nobody can say: used cleaner, thinner, rags, and whatever was poured together."""
    most = most_copper_mg_per_l(content)
    if most is not None and COPPER_SULFATE.issuperset(content.kinds):
        return _solution(most)
    [kind, *others] = content.kinds
    return [composition.ingredient_of(AT_WORST[kind], (0, 100))] if kind in AT_WORST and not others else []


def measured(content: Content) -> dict[str, float]:
    """pH and flash point as tested last, each at its worse end."""
    latest = {result.quantity: result for result in content.test_results}
    ph, flash = latest.get(TestResult.Quantity.PH), latest.get(TestResult.Quantity.FLASH_POINT)
    found = {"flash_point_c": flash.low} if flash else {}
    return found | ({"ph": ph.high if ph.high >= CORROSIVE_FROM_PH else ph.low} if ph else {})


def most_copper_mg_per_l(content: Content) -> float | None:
    """The upper end of its 95 % range; None where nobody knows."""
    copper = content.copper_per_l
    return None if copper is None else copper.value + (copper.half_width or 0.0)


def _solution(copper_mg_per_l: float) -> Sequence[Ingredient]:
    strength_g_per_l = copper_mg_per_l / MG_PER_G / COPPER_PER_BLUE
    percent = rounded_up(composition.blue_percent(min(strength_g_per_l, STRONGEST_G_PER_L)))
    return composition.bath(percent, dried_off=0)
