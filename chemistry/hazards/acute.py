"""Acute toxicity of a mixture from the estimates of its ingredients."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from chemistry.hazards.ingredients import (
    NOT_TOXIC,
    ROUTES,
    UNKNOWN,
    Ingredient,
    Instead,
    exact,
    room_percent,
    unnamed_percent,
    worst_shares,
)
from chemistry.hazards.regimes import check_regime
from chemistry.hazards.steps import Step, plain
from chemistry.sentences import PLUS, Sentence, strung

# upper bounds of categories 1 to 4, inclusive; mg/kg and mg/L; UN GHS and CLP Table 3.1.1
BANDS = {
    "oral": (Fraction(5), Fraction(50), Fraction(300), Fraction(2000)),
    "dermal": (Fraction(50), Fraction(200), Fraction(1000), Fraction(2000)),
    "vapour": (Fraction("0.5"), Fraction(2), Fraction(10), Fraction(20)),
    "dust": (Fraction("0.05"), Fraction("0.5"), Fraction(1), Fraction(5)),
}
# what a category counts as where no estimate is known; UN GHS and CLP Table 3.1.2, category 5 in UN GHS only
POINTS = {
    "oral": (Fraction("0.5"), Fraction(5), Fraction(100), Fraction(500), Fraction(2500)),
    "dermal": (Fraction(5), Fraction(50), Fraction(300), Fraction(1100), Fraction(2500)),
    "vapour": (Fraction("0.05"), Fraction("0.5"), Fraction(3), Fraction(11)),
    "dust": (Fraction("0.005"), Fraction("0.05"), Fraction("0.5"), Fraction("1.5")),
}
CATEGORY_5_BOUND = Fraction(5000)  # UN GHS only, oral and dermal; UN GHS Table 3.1.1
UNKNOWN_ALLOWED_PERCENT = 10  # a larger unknown part no longer dilutes the rest; UN GHS and CLP 3.1.3.6.2.3
RELEVANT_FROM_PERCENT = {1: Fraction("0.1"), 2: Fraction("0.1"), 3: Fraction("0.1")}  # else 1 %; CLP Table 1.1
HAZARDS = {"oral": "oral", "dermal": "dermal", "vapour": "inh", "dust": "inh"}
OTHER_BREATH = {"vapour": "dust", "dust": "vapour"}
BY_ROUTE = {
    "oral": Sentence("acute toxicity, oral"),
    "dermal": Sentence("acute toxicity, dermal"),
    "vapour": Sentence("acute toxicity, vapour"),
    "dust": Sentence("acute toxicity, dust"),
}
IN_CATEGORY = Sentence("%(named)s / (%(parts)s) = %(estimate)s %(unit)s: %(hazard)s, category %(category)s")
IN_NONE = Sentence("%(named)s / (%(parts)s) = %(estimate)s %(unit)s: %(hazard)s, outside the categories")
SOURCE = Sentence("UN GHS and CLP 3.1.3.6; 29 CFR 1910.1200 App. A.1")


@dataclass(frozen=True, slots=True, kw_only=True)
class AcuteToxicity:
    """
    What a mixture does at once, by one route.

    ate: acute toxicity estimate, None where no known ingredient falls in a category. [mg/kg, mg/L]
    category: None where the estimate lies outside the regime's categories.
    unknown_percent: share of the mixture whose toxicity by this route is unknown; the largest, where shares are ranges.
    """

    ate: Fraction | None
    category: int | None
    unknown_percent: Fraction
    working: Step


@dataclass(frozen=True, slots=True)
class ToxicShare:
    ingredient: Ingredient
    toxicity: Fraction  # 1 / ATE; nought for what counts as nothing
    percent: Fraction = Fraction()


@dataclass(frozen=True, slots=True)
class WorstCase:
    """One way the mixture may be made within its ranges; named_percent is what its parts are diluted in."""

    parts: tuple[ToxicShare, ...]
    named_percent: Fraction

    @property
    def toxicity(self) -> Fraction:
        return sum((part.percent * part.toxicity for part in self.parts), Fraction()) / self.named_percent


def acute_toxicity(ingredients: Sequence[Ingredient], route: str, regime: str) -> AcuteToxicity:
    """
    Return the acute toxicity of a mixture by one route, at the worst end of every range.

    100 / ATEmix = Σ percent / ATE; where more than 10 % is unknown, 100 less the unknown part stands for 100.
    Ingredients outside the regime's categories count as nothing, and so do those below 1 % (0.1 % in categories 1-3).

    >>> blue_crystals = Ingredient("blue crystals", 25, ate={"oral": 481})
    >>> result = acute_toxicity([blue_crystals, Ingredient("water", 75, ate=NOT_TOXIC)], "oral", "EU")
    >>> float(result.ate), result.category
    (1924.0, 4)
    """
    check_regime(regime)
    if route not in ROUTES:
        raise ValueError(f"route must be one of {', '.join(ROUTES)}, not {route!r}")
    spare = room_percent(ingredients)
    known: list[ToxicShare] = []
    for ingredient in ingredients:
        # a route that nobody tested leaves the ingredient out of the sum, and in the unknown share
        own = estimate(ingredient, route)
        if own is NOT_TOXIC:
            known.append(ToxicShare(ingredient, Fraction()))
        elif isinstance(own, Fraction):
            category = category_of(own, route, regime)
            counts = category and ingredient.most >= RELEVANT_FROM_PERCENT.get(category, 1)
            known.append(ToxicShare(ingredient, 1 / own if counts else Fraction()))
    unknown_percent = unnamed_percent(part.ingredient for part in known)
    worst = max(possible_mixtures(known, unknown_percent, spare), key=lambda mixture: mixture.toxicity)
    ate = 1 / worst.toxicity if worst.toxicity else None
    category = None if ate is None else category_of(ate, route, regime)
    hazard = BY_ROUTE[route]
    if ate is None:
        working = Step(text=Sentence("No known ingredient counts for %(hazard)s") % {"hazard": hazard}, source=SOURCE)
    else:
        told = {
            "named": plain(worst.named_percent),
            "parts": strung(
                (
                    Sentence("%(name)s %(percent)s %% / %(estimate)s")
                    % {
                        "name": part.ingredient.name,
                        "percent": plain(part.percent),
                        "estimate": plain(1 / part.toxicity),
                    }
                    for part in worst.parts
                    if part.toxicity and part.percent
                ),
                PLUS,
            ),
            "estimate": plain(ate),
            "unit": ROUTES[route],
            "hazard": hazard,
            "category": category,
        }
        working = Step(
            text=(IN_NONE if category is None else IN_CATEGORY) % told,
            source=SOURCE,
            gives=f"acute_{HAZARDS[route]}_{category}" if category else None,
        )
    return AcuteToxicity(ate=ate, category=category, unknown_percent=unknown_percent, working=working)


def estimate(ingredient: Ingredient, route: str) -> Fraction | Instead:
    """
    An ingredient's own estimate, else the point its category counts as.

    >>> print(estimate(Ingredient("ground", 10, ("acute_oral_4",)), "oral"))
    500
    """
    if ingredient.ate is NOT_TOXIC:
        return NOT_TOXIC
    given = UNKNOWN if ingredient.ate is UNKNOWN else ingredient.ate.get(route, UNKNOWN)
    if given is not UNKNOWN:
        return NOT_TOXIC if given is NOT_TOXIC else exact(given)
    # a class of inhalation does not say of what; an estimate for vapour or dust does
    if not isinstance(ingredient.ate, Instead) and OTHER_BREATH.get(route) in ingredient.ate:
        return UNKNOWN
    points = enumerate(POINTS[route], start=1)
    classes = ingredient.known_classes
    return next((point for category, point in points if f"acute_{HAZARDS[route]}_{category}" in classes), UNKNOWN)


def category_of(ate: Fraction, route: str, regime: str) -> int | None:
    """
    The category of an estimate; its upper bound belongs to it.

    >>> category_of(Fraction(2000), "oral", "EU"), category_of(Fraction(2001), "oral", "EU")
    (4, None)
    >>> category_of(Fraction(2001), "oral", "UN")
    5
    """
    category_5 = (CATEGORY_5_BOUND,) if regime == "UN" and route not in OTHER_BREATH else ()
    bounds = (*BANDS[route], *category_5)
    return next((category for category, bound in enumerate(bounds, start=1) if ate <= bound), None)


def possible_mixtures(known: Sequence[ToxicShare], unknown_percent: Fraction, spare: Fraction) -> Iterator[WorstCase]:
    """
    Those among which the most toxic one is found.

    Where the unknown part may exceed 10 %, the estimate is that of the known parts among themselves, and the worst of
    these has the most toxic ones at their high ends, as far as the whole leaves room, and the others at their low ends.
    spare: what the low ends of the whole mixture leave. [%]

    >>> lacquer = ToxicShare(Ingredient("lacquer", (5, 10)), Fraction(1, 500))
    >>> [int(case.named_percent) for case in possible_mixtures([lacquer], Fraction(20), Fraction(95))]
    [100, 10]
    """
    # everything at its high end is the worst while the unknown part is small: it only thins the rest
    yield WorstCase(share_out(known, len(known), spare), Fraction(100))
    if unknown_percent <= UNKNOWN_ALLOWED_PERCENT:
        return
    ranked = sorted(known, key=lambda part: part.toxicity, reverse=True)
    for at_most in range(1, len(ranked) + 1):
        parts = share_out(ranked, at_most, spare)
        if named_percent := sum((part.percent for part in parts), Fraction()):
            yield WorstCase(parts, named_percent)


def share_out(parts: Sequence[ToxicShare], at_most: int, spare: Fraction) -> tuple[ToxicShare, ...]:
    """
    So many of the most toxic ones at their high ends as far as the whole leaves room, the others at their low ends.

    >>> parts = [ToxicShare(Ingredient(name, (5, 10)), Fraction(1, 500)) for name in ("oil", "resin")]
    >>> [int(part.percent) for part in share_out(parts, 1, Fraction(90))]
    [10, 5]
    """
    ingredients, toxicities = [part.ingredient for part in parts], [part.toxicity for part in parts]
    percents = worst_shares(ingredients, toxicities, spare, at_most=at_most)
    return tuple(replace(part, percent=percent) for part, percent in zip(parts, percents, strict=True))
