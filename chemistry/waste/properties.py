"""What rules about waste ask for, worked out from what went into it. Keys are those of data/vocabulary.toml."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from chemistry.hazards import composition, physical
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import (
    UNKNOWN,
    Ingredient,
    Number,
    exact,
    room_percent,
    unnamed_percent,
    within_whole,
    worst_shares,
)
from chemistry.hazards.mixture import ACID_TO_PH, classify
from chemistry.hazards.substances import SUBSTANCES
from chemistry.solution import sulfuric
from chemistry.waste.evaluation import NO_FLASH_POINT
from chemistry.waste.vocabulary import SHARES, NumberSpan, Range, StatementShare, Words, span

CHRONIC_WEIGHTS = {
    "aq_chronic_1": 100,
    "aq_chronic_2": 10,
    "aq_chronic_3": 1,
}  # Council Reg. (EU) 2017/997, from memory
NOT_FLAMMABLE_C = (60, 500)  # CLP Table 2.6.1: what is no flammable liquid flashes above 60 °C, if at all
# substances that American rules list by name where they are given up unused; 40 CFR 261.33(f), from memory
U_LISTED = {
    "acetone": "acetone",
    "toluene": "toluene",
    "xylene": "xylene",
    "methanol": "methanol",
    "butanone": "methyl ethyl ketone",
}
METALS_LEACHED = ("arsenic", "barium", "cadmium", "chromium", "lead", "mercury", "selenium", "silver")
SOLVENTS_LEACHED = ("benzene", "mek", "pce", "tce")
# what the table of 40 CFR 261.24 names: D035; D006, D007 and D008
TOXIC_SOLVENTS = {"butanone"}
TOXIC_METALS = {"lead_white", "chrome_yellow", "cadmium_pigment", "potassium_dichromate"}
# what a leach test looks for, by the question whether there may be any of it
LEACHED = {
    "may_hold_other_metals": tuple(f"tclp_{each}" for each in METALS_LEACHED),
    "may_hold_toxic_solvents": tuple(f"tclp_{each}" for each in SOLVENTS_LEACHED),
}
COPPER_SHARE = exact(SUBSTANCES["copper_sulfate_pentahydrate"].copper_share or 0)


def of_mixture(
    ingredients: Sequence[Ingredient], *, flash_point_c: Number | None = None, ph: Number | None = None
) -> dict[str, Any]:
    """
    The sums of percentages that rules go by, and the hazard statements of the whole.

    An ingredient whose classes are not known, and whatever is unnamed, may count in every sum or in none.
    flash_point_c, ph: as measured on the waste.

    >>> found = of_mixture([Ingredient("blue crystals", 12, ("eye_dam_1",)), Ingredient("ground", (0, 1))])
    >>> [float(end) for end in found["h318_percent"]]
    [12.0, 100.0]
    """
    ingredients = within_whole(ingredients)
    # by UN GHS wherever the studio is: US HazCom has no aquatic classes, and rules ask for them
    statements = classify(ingredients, "UN", flash_point_c=flash_point_c, ph=ph).h_codes
    return {
        **{key: share_counted(share, ingredients) for key, share in SHARES.items()},
        "chronic_aquatic_index": chronic_index(ingredients),
        "h_codes": {*statements, *([UNKNOWN] if may_hold_unclassified(ingredients) else [])},
        "flash_point_c": flash_point_c if flash_point_c is not None else flash_point_of(ingredients),
        "ph": ph,
    }


def of_copper_solution(
    strength_g_per_l: Range, *, acid_g_per_l: Range = 0, temperature_c: float = 20.0
) -> dict[str, Any]:
    """
    A bath or a rinse that holds copper sulfate and water, perhaps sulfuric acid, and nothing else.

    strength_g_per_l, acid_g_per_l: blue crystals and acid in a litre, or (low, high). [g/L]

    >>> bath = of_copper_solution((200, 250))
    >>> [round(float(end)) for end in bath["cu_mg_per_l"]]
    [50901, 63626]
    >>> sour = of_copper_solution((200, 250), acid_g_per_l=(66, 74))
    >>> [round(float(end), 1) for key in ("h314_percent", "ph") for end in sour[key]]
    [5.7, 6.6, 0.1, 1.0]
    """
    strength, acid = span(strength_g_per_l), span(acid_g_per_l)
    # the strongest liquid is the heaviest, so that the same acid is the least of it by weight
    least = composition.acid_percent(float(acid.low), float(strength.high))
    most = composition.acid_percent(float(acid.high), float(strength.low))
    weak_ph = sulfuric.highest_ph(float(acid.low)) if acid.low else None
    strong_ph = sulfuric.lowest_ph(float(acid.high)) if acid.high else None
    weak = properties_at_strength(strength.low, temperature_c, acid_percent=least, ph=weak_ph)
    strong = properties_at_strength(strength.high, temperature_c, acid_percent=most, ph=strong_ph)
    return {key: hull(weak[key], strong[key]) for key in weak} | {"ph": ph_of_acid(acid)}


def ph_of_acid(acid: NumberSpan) -> tuple[float, float] | None:
    """
    Between what pH a bath lies by its acid; None where that does not tell whether it corrodes. [g/L]

    It warns and never clears: a pH is measured.

    >>> [round(end, 1) for end in ph_of_acid(span((66, 74)))], ph_of_acid(span((0, 0.5))), ph_of_acid(span((0, 300)))
    ([0.1, 1.0], None, None)
    """
    if not acid.low or sulfuric.lowest_ph(float(acid.high)) > ACID_TO_PH:
        return None
    return sulfuric.lowest_ph(float(acid.high)), sulfuric.highest_ph(float(acid.low))


def properties_at_strength(
    strength_g_per_l: Fraction, temperature_c: float, *, acid_percent: float = 0.0, ph: float | None = None
) -> dict[str, Any]:
    """
    What is known of a bath of one strength: grams of blue crystals in each litre, and acid by mass.

    >>> round(properties_at_strength(Fraction(200), 20)["cu_mg_per_l"])
    50901
    """
    blue, acid = exact(composition.blue_percent(float(strength_g_per_l), temperature_c)), exact(acid_percent)
    return {
        **of_mixture(composition.bath(blue, acid_percent=acid, dried_off=0), ph=ph),
        "is_liquid": True,
        "water_percent": 100 - blue - acid,
        "alcohol_percent": 0,
        "flash_point_c": NO_FLASH_POINT,
        "euh_codes": frozenset(),
        "cu_mg_per_l": 1000 * strength_g_per_l * COPPER_SHARE,
        "cu_mg_per_kg": 10_000 * blue * COPPER_SHARE,
    }


def hull(one: Any, other: Any) -> Any:
    """
    What is true of everything between the two.

    >>> hull(2, 5), sorted(hull({"H318", "H400"}, {"H318"}).known)
    ((Fraction(2, 1), Fraction(5, 1)), ['H318'])
    """
    if one == other:
        return one
    if isinstance(one, set):
        either, known = one | other, frozenset(one & other)
        # a statement of one end alone may hold in between, and so may a milder or graver one of the same hazard
        hazards = {each.hazard for each in CLASSES.values() if each.h_code in either}
        may = frozenset(each.h_code for each in CLASSES.values() if each.hazard in hazards) - known
        return known | {UNKNOWN} if UNKNOWN in either else Words(known, is_all=True, may=may)
    ends = span(one), span(other)
    return min(end.low for end in ends), max(end.high for end in ends)


def with_leach_test(known: Mapping[str, Any], found: Iterable[str] = ()) -> dict[str, Any]:
    """
    What is known, with what a leach test tells of its waste and the waste of a leach test: the one answers the other.

    found: tests that ever found any of it, in this waste or before something else went in.

    >>> with_leach_test({"may_hold_other_metals": False})["tclp_lead"]
    0
    >>> with_leach_test({"tclp_lead": (0.3, 0.4)}, ["tclp_lead"])["may_hold_other_metals"]
    True
    """
    there = {asked for asked, keys in LEACHED.items() if not set(keys).isdisjoint(found)}
    # what is not in it cannot be leached out of it; what came out of it once is in it
    none = {
        key: 0
        for asked, keys in LEACHED.items()
        if known.get(asked) is False and asked not in there
        for key in keys
        if known.get(key) is None
    }
    return {**known, **none, **dict.fromkeys(there, True)}


def share_counted(share: StatementShare, ingredients: Sequence[Ingredient]) -> tuple[Fraction, Fraction]:
    """
    At the least and at the most how much of the ingredients a rule counts. [%]

    >>> share = StatementShare(codes="H225", how="sum", classes=("flam_liq_2",))
    >>> parts = [Ingredient("thinner", 10, ("flam_liq_2",)), Ingredient("oil", 85, ())]
    >>> [int(end) for end in share_counted(share, parts)]
    [10, 15]
    """
    weights = dict.fromkeys(share.classes, 1)
    spans = [counted(ingredient, weights) for ingredient in ingredients]
    lows, highs = [part.low for part in spans], [part.high for part in spans]
    if share.how == "sum":
        low, high = sum(lows, Fraction()), most_counted(ingredients, weights)
    else:
        # what is not named may be all of the class, or none
        low, high = max(lows, default=Fraction()), max([*highs, unnamed_percent(ingredients)])
    return Fraction() if share.may_be_less else low, high


def chronic_index(ingredients: Sequence[Ingredient]) -> tuple[Fraction, Fraction]:
    """
    At the least and at the most the sum of aquatic classes, each ingredient times its weight.

    >>> [int(end) for end in chronic_index([Ingredient("salt", 5, ("aq_chronic_2",)), Ingredient("water", 95, ())])]
    [50, 50]
    """
    low = sum((counted(ingredient, CHRONIC_WEIGHTS).low for ingredient in ingredients), Fraction())
    return low, most_counted(ingredients, CHRONIC_WEIGHTS)


def most_counted(ingredients: Sequence[Ingredient], weights: Mapping[str, int]) -> Fraction:
    """
    How much counts at the most all together; what is not named may be all of the heaviest class.

    >>> parts = [Ingredient(name, (0, 100), ("flam_liq_2",)) for name in ("thinner", "alcohol")]
    >>> int(most_counted(parts, {"flam_liq_2": 1}))
    100
    """
    parts = [*ingredients, Ingredient("", (0, unnamed_percent(ingredients)))]
    heaviness = [counted(part, weights).high / part.most if part.most else Fraction() for part in parts]
    percents = worst_shares(parts, heaviness, room_percent(ingredients))
    return sum((each * percent for each, percent in zip(heaviness, percents, strict=True)), Fraction())


def counted(ingredient: Ingredient, weights: Mapping[str, int]) -> NumberSpan:
    """
    How much of an ingredient counts; of its classes that have a weight the heaviest does, from its cut-off.

    >>> counted(Ingredient("thinner", (5, 10), ("flam_liq_2",)), {"flam_liq_2": 1})
    NumberSpan(low=Fraction(5, 1), high=Fraction(10, 1))
    """
    if ingredient.classes is UNKNOWN:
        return NumberSpan(Fraction(), ingredient.most * max(weights.values()))
    counting = [id for id in ingredient.classes if id in weights]
    return NumberSpan(
        heaviest_weight(ingredient.least, counting, weights), heaviest_weight(ingredient.most, counting, weights)
    )


def heaviest_weight(percent: Fraction, classes: Iterable[str], weights: Mapping[str, int]) -> Fraction:
    """
    A percentage times the weight of the heaviest class that counts from so much on.

    >>> heaviest_weight(Fraction(5), ["aq_chronic_2", "aq_chronic_3"], CHRONIC_WEIGHTS)
    Fraction(50, 1)
    """
    return max(
        (percent * weights[id] for id in classes if percent >= CLASSES[id].relevant_from_percent), default=Fraction()
    )


def may_hold_unclassified(ingredients: Sequence[Ingredient]) -> bool:
    """
    May it hold what nobody has classified?

    >>> may_hold_unclassified([Ingredient("water", 100, ())]), may_hold_unclassified([Ingredient("water", 90, ())])
    (False, True)
    """
    return any(ingredient.classes is UNKNOWN for ingredient in ingredients) or unnamed_percent(ingredients) > 0


def flash_point_of(ingredients: Sequence[Ingredient]) -> tuple[int, int] | None:
    """
    A mixture's flash point is never computed; but nothing flammable in it says where it is not.

    >>> flash_point_of([Ingredient("water", 100, ())]), flash_point_of([Ingredient("water", 90, ())])
    ((60, 500), None)
    """
    # by UN GHS, which counts liquids as flammable that CLP does not
    flammable = physical.flammability(ingredients, "UN", None, None).steps
    return None if flammable or may_hold_unclassified(ingredients) else NOT_FLAMMABLE_C
