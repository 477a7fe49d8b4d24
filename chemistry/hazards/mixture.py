"""
The hazard classes of a mixture from its composition, by UN GHS, EU CLP, GB CLP or US HazCom.

Absence of a fact is never read as absence of a hazard: what is not known is handed on as needs_info. Classes here come
from a calculation; those on the supplier's own sheet go before them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from chemistry.hazards import acute, concentration_limits, labels, physical, supplemental
from chemistry.hazards.acute import AcuteToxicity, acute_toxicity
from chemistry.hazards.classes import CLASSES, most_severe
from chemistry.hazards.ingredients import (
    NOT_TOXIC,
    ROUTES,
    UNKNOWN,
    Ingredient,
    Number,
    exact,
    unnamed_percent,
    within_whole,
)
from chemistry.hazards.labels import Label, label, statement
from chemistry.hazards.regimes import check_regime, left_out, regime_of
from chemistry.hazards.steps import Step, plain
from chemistry.ranges import check_range
from chemistry.sentences import Sentence

__all__ = [
    "NOT_TOXIC",
    "UNKNOWN",
    "AcuteToxicity",
    "Classification",
    "Ingredient",
    "Label",
    "Step",
    "acute_toxicity",
    "classify",
    "label",
    "left_out",
    "most_severe",
    "regime_of",
    "statement",
]

# UN GHS and CLP 3.2.3.1.2, 3.3.3.1.2; 29 CFR 1910.1200 App. A.2, A.3; bounds inclusive
ACID_TO_PH, BASE_FROM_PH = Fraction(2), Fraction("11.5")
PH_SOURCE = Sentence("UN GHS and CLP 3.2.3.1.2, 3.3.3.1; 29 CFR 1910.1200 App. A.2, A.3")
MEASURE_TO_PH, MEASURE_FROM_PH = 3, 11  # near enough to ask for a measurement; ours, no source
THIN_TO_MM2_PER_S = Fraction("20.5")  # at 40 °C; UN GHS and CLP 3.10.3.3
MEASURABLE = {  # what an instrument can show at all
    "pH": (-2, 16, ""),
    "flash point": (-150, 500, "°C"),
    "boiling point": (-50, 600, "°C"),
    "viscosity": (0, 1e6, "mm²/s"),
}
# of the mixture; a smaller part changes no class and need not be said: CLP 3.1.3.6.2.2, 29 CFR 1910.1200 C.3.3
UNKNOWN_FROM_PERCENT = 1
OF_UNKNOWN_TOXICITY = (
    Sentence("%(percent)s %% of the mixture is of unknown acute toxicity (%(ways)s)"),
    Sentence("up to %(percent)s %% of the mixture is of unknown acute toxicity (%(ways)s)"),
)
WHAT_IS_UNKNOWN = Sentence("%(share)s: %(names)s")
WAYS_IN = (
    (Sentence("swallowed"), ("oral",)),
    (Sentence("on the skin"), ("dermal",)),
    (Sentence("inhaled"), ("vapour", "dust")),
)
DUST_SOURCE = Sentence("29 CFR 1910.1200(c) and App. C.4.30; more than half of it: ours")
THIN_SOURCE = Sentence("UN GHS 3.10.3.3; CLP 3.10.3.3.1; 29 CFR 1910.1200 App. A.10")


@dataclass(frozen=True, slots=True, kw_only=True)
class Classification:
    """
    The hazards of a mixture under one regime, and how they were found.

    classes: ids, the most severe of each hazard, in the standards' order.
    h_codes: of every class; a label leaves out those that another one includes.
    needs_info: what is not known; an empty tuple says that nothing is missing, not that there is no hazard.
    working: line by line, limits not reached among them.
    unclassified_percent: how much of it may be anything: unnamed, or of classes that nobody knows.
    environment: aquatic classes that the regime does not ask for; print them beside `left_out(regime)`.
    supplemental: sentences a label adds.
    defaults: what rests on memory until the supplier's sheet replaces it.
    """

    classes: tuple[str, ...]
    h_codes: tuple[str, ...]
    signal_word: str
    pictograms: tuple[str, ...]
    needs_info: tuple[str, ...]
    working: tuple[Step, ...]
    unclassified_percent: Fraction = Fraction()
    environment: tuple[str, ...] = ()
    supplemental: tuple[str, ...] = ()
    defaults: tuple[str, ...] = ()


def classify(
    ingredients: Sequence[Ingredient],
    regime: str,
    *,
    flash_point_c: Number | None = None,
    boiling_point_c: Number | None = None,
    ph: Number | None = None,
    viscosity_mm2_per_s: Number | None = None,
) -> Classification:
    """
    Return the hazard classes of a mixture, each ingredient at the worst end of its range that the whole allows.

    flash_point_c, boiling_point_c, ph: as measured on the mixture; never averaged or computed from its ingredients.
    viscosity_mm2_per_s: kinematic, at 40 °C.

    >>> blue_crystals = Ingredient(
    ...     "blue crystals", 20, ("eye_dam_1", "aq_acute_1"), {"oral": 481}, m_acute=10, additive_eye=False
    ... )
    >>> bath = classify([blue_crystals, Ingredient("water", 80, (), NOT_TOXIC)], "EU")
    >>> bath.classes, bath.signal_word, bath.pictograms
    (('eye_dam_1', 'aq_acute_1'), 'Danger', ('GHS05', 'GHS09'))
    >>> print(bath.working[-1])
    blue crystals 20 % × M 10 / 25 % = 8: at least 1, so Hazardous to the aquatic environment, acute, category 1
    """
    check_regime(regime)
    ingredients = within_whole(ingredients)
    flammable = physical.flammability(
        ingredients, regime, checked("flash point", flash_point_c), checked("boiling point", boiling_point_c)
    )
    # what only a test decides is kept until there is one: thinning an oxidiser does not make it none
    tested = physical.by_test(ingredients)
    routes = {route: acute_toxicity(ingredients, route, regime) for route in ROUTES}
    working = (
        *flammable.steps,
        *tested.steps,
        *burning_dust(ingredients, regime),
        *(result.working for result in routes.values() if result.ate is not None),
        *extreme_ph(checked("pH", ph)),
        *unless_thick(concentration_limits.steps(ingredients, regime), checked("viscosity", viscosity_mm2_per_s)),
    )
    classes = most_severe(step.gives for step in working if step.gives)
    shown = labels.label(classes, regime)
    # a regime that asks for no aquatic class still sells what kills fish
    aquatic = concentration_limits.steps(ingredients, "UN") if left_out(regime) else ()
    return Classification(
        classes=classes,
        h_codes=labels.h_codes(CLASSES[id] for id in classes),
        signal_word=shown.signal_word,
        pictograms=shown.pictograms,
        needs_info=(
            *what_is_unnamed(ingredients),
            *unknown_toxicity(ingredients),
            *flammable.needs_info,
            *tested.needs_info,
            *supplemental.newer_classes(ingredients, regime),
            *what_to_measure(ingredients, classes, ph, viscosity_mm2_per_s),
            *dict.fromkeys(sentence for ingredient in ingredients for sentence in ingredient.missing),
        ),
        working=working,
        unclassified_percent=unnamed_percent(part for part in ingredients if part.classes is not UNKNOWN),
        environment=most_severe(step.gives for step in aquatic if step.gives and step.gives.startswith("aq_")),
        supplemental=supplemental.sentences(ingredients, classes, regime),
        defaults=tuple(dict.fromkeys(sentence for ingredient in ingredients for sentence in ingredient.defaults)),
    )


def checked(name: str, reading: Number | None) -> Fraction | None:
    """
    A reading that an instrument can show, exact; None where there is none.

    >>> checked("pH", 4.5)
    Fraction(9, 2)
    """
    if reading is None:
        return None
    # a slip of the pen, such as 900 °C for 90, would otherwise clear a mixture of its class
    low, high, unit = MEASURABLE[name]
    check_range(name, float(reading), low, high, unit)
    return exact(reading)


def burning_dust(ingredients: Sequence[Ingredient], regime: str) -> Iterator[Step]:
    """
    A line where most of the mixture is a powder that burns, and the regime knows such a class.

    >>> print(next(burning_dust([Ingredient("rosin", 60, ("comb_dust",))], "US")))
    Most of it is a powder that burns: Combustible dust, category one only, until its dust is tested
    """
    if supplemental.makes_dust(ingredients) and regime in CLASSES[supplemental.DUST].regimes:
        text = Sentence("Most of it is a powder that burns: %(hazard)s, until its dust is tested") % {
            "hazard": CLASSES[supplemental.DUST]
        }
        yield Step(text=text, source=DUST_SOURCE, gives=supplemental.DUST)


def extreme_ph(ph: Fraction | None) -> Iterator[Step]:
    """
    A mixture as acid or alkaline as this counts as corrosive until a test says otherwise.

    >>> [step.gives for step in extreme_ph(Fraction(2))], list(extreme_ph(Fraction(7)))
    (['skin_corr_1', 'eye_dam_1'], [])
    """
    if ph is None or ACID_TO_PH < ph < BASE_FROM_PH:
        return
    acid = Sentence("pH %(ph)s measured, at most %(end)s: %(hazard)s")
    base = Sentence("pH %(ph)s measured, at least %(end)s: %(hazard)s")
    told, end = (acid, ACID_TO_PH) if ph <= ACID_TO_PH else (base, BASE_FROM_PH)
    for class_id in ("skin_corr_1", "eye_dam_1"):
        text = told % {"ph": plain(ph), "end": plain(end), "hazard": CLASSES[class_id]}
        yield Step(text=text, source=PH_SOURCE, gives=class_id)


def unless_thick(steps: Iterable[Step], viscosity_mm2_per_s: Fraction | None) -> Iterator[Step]:
    """
    What pours too slowly to be drawn into the lungs is no aspiration hazard; unknown counts as thin.

    >>> drawn_in = Step(text="white spirit 60 % / 10 % = 6", source="a source", gives="asp_1")
    >>> [step.gives for step in unless_thick([drawn_in], Fraction(40))], next(unless_thick([drawn_in], None)).gives
    ([None], 'asp_1')
    """
    for step in steps:
        if step.gives == "asp_1" and viscosity_mm2_per_s is not None and viscosity_mm2_per_s > THIN_TO_MM2_PER_S:
            told = Sentence("%(viscosity)s mm²/s at 40 °C, above %(bound)s: not %(hazard)s")
            bounds = {"viscosity": plain(viscosity_mm2_per_s), "bound": plain(THIN_TO_MM2_PER_S)}
            yield Step(text=told % (bounds | {"hazard": CLASSES["asp_1"]}), source=THIN_SOURCE)
        else:
            yield step


def what_is_unnamed(ingredients: Sequence[Ingredient]) -> Iterator[str]:
    """
    What of a mixture nobody has classified or named.

    >>> list(what_is_unnamed([Ingredient("varnish", 10), Ingredient("water", 85, ())]))
    ['hazard classes of varnish (10 %)', 'what the other 5 % of the mixture is']
    """
    for ingredient in ingredients:
        if ingredient.classes is UNKNOWN and ingredient.most:
            yield Sentence("hazard classes of %(name)s (%(percent)s %%)") % {
                "name": ingredient.name,
                "percent": plain(ingredient.most),
            }
    unnamed = unnamed_percent(ingredients)
    if unnamed:
        yield Sentence("what the other %(percent)s %% of the mixture is") % {"percent": plain(unnamed)}


def unknown_toxicity(ingredients: Sequence[Ingredient]) -> Iterator[str]:
    """
    The share of unknown acute toxicity, which a label has to state; what nobody names is of it.

    >>> list(unknown_toxicity([Ingredient("ground", 10, ()), Ingredient("water", 90, (), NOT_TOXIC)]))
    ['10 % of the mixture is of unknown acute toxicity (swallowed, on the skin, inhaled): ground']
    """
    ways_of: dict[tuple[bool, str, tuple[str, ...]], list[str]] = {}
    unnamed = [Sentence("what nobody names")] if unnamed_percent(ingredients) else []
    for way, routes in WAYS_IN:
        # vapour and dust are one way in
        is_known = [any(acute.estimate(part, route) is not UNKNOWN for route in routes) for part in ingredients]
        known = [part for part, it_is in zip(ingredients, is_known, strict=True) if it_is]
        most = unnamed_percent(known)
        if most >= UNKNOWN_FROM_PERCENT:
            names = [part.name for part, it_is in zip(ingredients, is_known, strict=True) if part.most and not it_is]
            is_at_most = most + sum(part.most for part in known) > 100
            ways_of.setdefault((is_at_most, plain(most), (*names, *unnamed)), []).append(way)
    for (is_at_most, percent, unknown), ways in ways_of.items():
        share = OF_UNKNOWN_TOXICITY[is_at_most] % {"percent": percent, "ways": ways}
        yield WHAT_IS_UNKNOWN % {"share": share, "names": unknown}


def unknown_share(need: str) -> str:
    """
    The share of unknown acute toxicity that needs info tells of; empty where it tells of something else.

    >>> unknown_share(next(unknown_toxicity([Ingredient("ground", 10, ()), Ingredient("water", 90, (), NOT_TOXIC)])))
    '10 % of the mixture is of unknown acute toxicity (swallowed, on the skin, inhaled)'
    """
    return str(need.places["share"]) if isinstance(need, Sentence) and need.text == WHAT_IS_UNKNOWN.text else ""


def what_to_measure(
    ingredients: Sequence[Ingredient], classes: tuple[str, ...], ph: Number | None, viscosity_mm2_per_s: Number | None
) -> Iterator[str]:
    """
    What a test of the mixture would tell that its ingredients cannot.

    >>> list(what_to_measure([Ingredient("vinegar", 50, (), ph=2.4)], ("asp_1",), None, None))
    ['pH of the mixture: measure it', 'kinematic viscosity of the mixture at 40 °C']
    """
    # a pH is never worked out from ingredients: near the ends it is asked for
    may_turn_ph = any(
        ingredient.ph is not None and not MEASURE_TO_PH < ingredient.ph < MEASURE_FROM_PH for ingredient in ingredients
    )
    # where it is corrosive already no pH could make it worse
    if ph is None and "skin_corr_1" not in classes and may_turn_ph:
        yield Sentence("pH of the mixture: measure it")
    if viscosity_mm2_per_s is None and "asp_1" in classes:
        yield Sentence("kinematic viscosity of the mixture at 40 °C")
