"""Physical hazards: flash point, never averaged, and what only a test decides."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from chemistry.hazards.classes import CLASSES, most_severe
from chemistry.hazards.ingredients import UNKNOWN, Ingredient, exact, unnamed_percent
from chemistry.hazards.steps import Step, plain
from chemistry.quantity import quantity
from chemistry.sentences import Sentence

FLAMMABLE = ("flam_liq_1", "flam_liq_2", "flam_liq_3", "flam_liq_4")
BY_TEST = ("ox_liq", "ox_sol_1", "ox_sol_2", "met_corr_1")
# UN GHS and CLP Table 2.6.1; 29 CFR 1910.1200 App. B.6; category 4 not in CLP
FLASHES_BELOW_C, CATEGORY_3_TO_C, CATEGORY_4_TO_C = 23, 60, 93
CATEGORY_1_BOILS_TO_C = 35
# whatever boils at 35 °C flashes well below this (diethyl ether -45 °C, methyl formate -19 °C): ours, from memory
LOW_BOILERS_FLASH_BELOW_C = 0
SOURCE = Sentence("UN GHS and CLP Table 2.6.1; 29 CFR 1910.1200 App. B.6")
LOWEST_SOURCE = Sentence("ours, stricter: a mixture's flash point is never averaged")
BY_TEST_SOURCE = Sentence("ours, stricter: only a test of the mixture decides (UN GHS 2.13, 2.14, 2.16)")


@dataclass(frozen=True, slots=True)
class PhysicalHazard:
    """The lines of the working, and what would have to be measured."""

    steps: tuple[Step, ...]
    needs_info: tuple[str, ...]


def flammability(
    ingredients: Sequence[Ingredient], regime: str, flash_point_c: Fraction | None, boiling_point_c: Fraction | None
) -> PhysicalHazard:
    """
    The mixture's own flash point decides; unless it is known, the most flammable ingredient does, however little.

    >>> flammability([Ingredient("thinner", 10, ("flam_liq_2",))], "UN", None, None).steps[0].gives
    'flam_liq_2'
    """
    if flash_point_c is not None:
        return by_measured_flash_point(ingredients, regime, flash_point_c, boiling_point_c)
    # however little there is of it: a per cent of acetone can set the flash point of the whole
    found: dict[str, str] = {}
    for ingredient in ingredients:
        classes = {id for id in ingredient.known_classes if id in FLAMMABLE}
        if ingredient.flash_point_c is not None:
            flashes_at_c = exact(ingredient.flash_point_c)
            by_flash = class_by_flash(flashes_at_c, boils_low=boils_low(ingredient, flashes_at_c))
            classes |= {by_flash} if by_flash else set()
        known = {id for id in classes if regime in CLASSES[id].regimes}
        found |= dict.fromkeys(known, ingredient.name) if ingredient.most else {}
    if not found:
        return PhysicalHazard((), ())
    worst = most_severe(found)[0]
    text = Sentence("The most flammable ingredient counts, %(name)s: %(hazard)s") % {
        "name": found[worst],
        "hazard": CLASSES[worst],
    }
    # nothing else is in it, so its own class needs no test of the mixture
    alone = any(ingredient.least == 100 for ingredient in ingredients)
    return PhysicalHazard(
        (Step(text=text, source=LOWEST_SOURCE, gives=worst),),
        () if alone else (Sentence("flash point of the mixture"),),
    )


def by_test(ingredients: Sequence[Ingredient]) -> PhysicalHazard:
    """
    A class that only a test decides stays with the mixture, unless a specific limit speaks for the ingredient.

    >>> [step.gives for step in by_test([Ingredient("peroxide", 10, ("met_corr_1",))]).steps]
    ['met_corr_1']
    """
    kept = []
    for ingredient, id in product(ingredients, BY_TEST):
        limit = ingredient.specific_limit(id)
        has_class = id in ingredient.known_classes and ingredient.most > 0
        if has_class if limit is None else ingredient.most >= limit:
            kept.append((ingredient, id))
    return PhysicalHazard(
        steps=tuple(
            Step(
                text=Sentence("%(name)s %(percent)s %%: %(hazard)s, kept until the mixture is tested")
                % {"name": ingredient.name, "percent": plain(ingredient.most), "hazard": CLASSES[id]},
                source=BY_TEST_SOURCE,
                gives=id,
            )
            for ingredient, id in kept
        ),
        needs_info=tuple(
            Sentence("a test whether the mixture is %(hazard)s (%(name)s)")
            % {"hazard": CLASSES[id].hazard, "name": ingredient.name}
            for ingredient, id in kept
            if ingredient.most < 100 and ingredient.specific_limit(id) is None
        ),
    )


def by_measured_flash_point(
    ingredients: Sequence[Ingredient], regime: str, flash_point_c: Fraction, boiling_point_c: Fraction | None
) -> PhysicalHazard:
    """
    The class of a flammable liquid by its own flash point; without a boiling point the worst it can be.

    >>> by_measured_flash_point([Ingredient("thinner", 100, ("flam_liq_3",))], "EU", Fraction(30), None).steps[0].gives
    'flam_liq_3'
    """
    guessed = boiling_point_c is None
    # what is unnamed may boil low, but a mixture of it would flash well below nought
    may_boil_low = (
        unnamed_percent(ingredients) > 0
        and flash_point_c < LOW_BOILERS_FLASH_BELOW_C
        or any(boils_low(ingredient, flash_point_c) for ingredient in ingredients)
        if boiling_point_c is None
        else boiling_point_c <= CATEGORY_1_BOILS_TO_C
    )
    class_id = class_by_flash(flash_point_c, boils_low=may_boil_low)
    told = {"flash_point": quantity(float(flash_point_c), "°C")}
    if class_id is None or regime not in CLASSES[class_id].regimes:
        text = Sentence("Flash point %(flash_point)s: not a flammable liquid") % told
        return PhysicalHazard((Step(text=text, source=SOURCE),), ())
    is_guess = class_id == "flam_liq_1" and guessed
    known = Sentence("Flash point %(flash_point)s: %(hazard)s")
    worst = Sentence("Flash point %(flash_point)s, boiling point not known, so the worst it can be: %(hazard)s")
    text = (worst if is_guess else known) % (told | {"hazard": CLASSES[class_id]})
    asked = (Sentence("boiling point of the mixture"),) if is_guess else ()
    return PhysicalHazard((Step(text=text, source=SOURCE, gives=class_id),), asked)


def class_by_flash(flash_point_c: Fraction, *, boils_low: bool) -> str | None:
    """
    The class of a liquid by its closed-cup flash point; boils_low: at 35 °C or below, or possibly so.

    >>> class_by_flash(Fraction(13), boils_low=False), class_by_flash(Fraction(60), boils_low=False)
    ('flam_liq_2', 'flam_liq_3')
    """
    if flash_point_c < FLASHES_BELOW_C:
        return "flam_liq_1" if boils_low else "flam_liq_2"
    if flash_point_c <= CATEGORY_3_TO_C:
        return "flam_liq_3"
    return "flam_liq_4" if flash_point_c <= CATEGORY_4_TO_C else None


def boils_low(ingredient: Ingredient, flash_point_c: Fraction) -> bool:
    """
    It does, or nothing is known that says it does not.

    >>> [boils_low(Ingredient("thinner", 5, classes), Fraction(-10)) for classes in (("flam_liq_1",), ("flam_liq_2",))]
    [True, False]
    """
    if ingredient.boiling_point_c is not None:
        return exact(ingredient.boiling_point_c) <= CATEGORY_1_BOILS_TO_C
    if ingredient.classes is UNKNOWN:
        return flash_point_c < LOW_BOILERS_FLASH_BELOW_C
    return "flam_liq_1" in ingredient.classes
