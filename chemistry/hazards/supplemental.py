"""What a label adds beside its classes: CLP's EUH statements, the allergies of few, dust that burns."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction

from chemistry.hazards.acute import estimate
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import UNKNOWN, Ingredient, exact
from chemistry.hazards.labels import statement
from chemistry.hazards.regimes import CLP
from chemistry.sentences import Sentence

SENSITISERS = ("skin_sens_1", "resp_sens_1")
SENSITISES_FROM_PERCENT = 1  # of category 1 and 1B; 1A has a specific limit of 0.1 %; CLP Table 3.4.5
ELICITS_FROM_SHARE = Fraction(1, 10)  # of the limit: CLP Table 3.4.6, Annex II 2.8 and 2.10
DRIES_FROM_PERCENT = 1  # ours, stricter: CLP Annex II 1.2.4 names no percentage
FREES_GAS_FROM_PERCENT = 1  # ours, stricter: Annex VI names 5 % of active chlorine
CORRODES_AIRWAYS_FROM_PERCENT = 1  # ours, stricter: CLP Annex II 1.2.6 names no percentage
MOSTLY_PERCENT = 50  # ours, no source: a ground or varnish with less of it raises no dust
NEWER_FROM_PERCENT = Fraction(1, 10)  # the lowest limit of the classes of Reg. (EU) 2023/707, from memory
DUST = "comb_dust"
DUST_WORDS = Sentence("Its dust, stirred up in air, can explode.")


def sentences(ingredients: Sequence[Ingredient], classes: Collection[str], regime: str) -> tuple[str, ...]:
    """
    What is printed beside the classes of a mixture.

    >>> sentences([Ingredient("rosin", 0.5, ("skin_sens_1",))], (), "EU")
    ('Contains rosin. May produce an allergic reaction.',)
    >>> sentences([Ingredient("acetone", 100, ("flam_liq_2",), euh=("EUH066",))], ("flam_liq_2",), "GB")
    ('Repeated exposure may cause skin dryness or cracking.',)
    """
    by_clp = (*statements_of(ingredients, classes), *warnings_to_the_sensitised(ingredients)) if regime in CLP else ()
    # American rules have a class for it
    dust = (DUST_WORDS,) if makes_dust(ingredients) and regime not in CLASSES[DUST].regimes else ()
    return (*by_clp, *dust)


def statements_of(ingredients: Sequence[Ingredient], classes: Collection[str]) -> Iterator[str]:
    """
    What CLP, Annex II adds to the classes of a mixture by itself: EUH066 and EUH071.

    >>> list(statements_of([], ("skin_corr_1",)))
    ['Corrosive to the respiratory tract.']
    """
    corrodes = "skin_corr_1" in classes
    dries = any("EUH066" in each.euh and each.most >= DRIES_FROM_PERCENT for each in ingredients)
    # 1.2.4: only where it is not classed as irritating
    if dries and not corrodes and "skin_irrit_2" not in classes:
        yield statement("EUH066", "EU")
    if any("EUH031" in each.euh and each.most >= FREES_GAS_FROM_PERCENT for each in ingredients):
        yield statement("EUH031", "EU")
    if corrodes_airways(ingredients, classes):
        yield statement("EUH071", "EU")


def corrodes_airways(ingredients: Iterable[Ingredient], classes: Collection[str]) -> bool:
    """
    Whether a mixture bears EUH071: CLP Annex II 1.2.6.

    Either it is toxic to breathe, and of something in it is known that this is because it corrodes; or it burns skin,
    and of something in it that does nobody tested what breathing it does. Whether it can be breathed in at all nobody
    says here: a mist of any liquid can.

    >>> corrodes_airways([Ingredient("lye", 5, ("skin_corr_1",))], ("skin_corr_1",))
    True
    >>> corrodes_airways([Ingredient("tested", 5, ("skin_corr_1",), {"dust": 40})], ("skin_corr_1",))
    False
    """
    parts = list(ingredients)
    burns = "skin_corr_1" in classes
    toxic = any(id.startswith("acute_inh_") for id in classes)
    if (burns or toxic) and any("EUH071" in each.euh and each.most >= CORRODES_AIRWAYS_FROM_PERCENT for each in parts):
        return True
    burning = [each for each in parts if "skin_corr_1" in each.known_classes or each.specific_limit("skin_corr_1")]
    # a pH can say that it burns where no ingredient does
    return burns and (not burning or any(not was_breathed_in_a_test(each) for each in burning))


def was_breathed_in_a_test(ingredient: Ingredient) -> bool:
    """
    >>> was_breathed_in_a_test(Ingredient("it", 5, ("acute_inh_3",), {"oral": 500}))
    True
    >>> was_breathed_in_a_test(Ingredient("it", 5, ("skin_corr_1",), {"oral": 500}))
    False
    """
    return any(estimate(ingredient, route) is not UNKNOWN for route in ("vapour", "dust"))


def warnings_to_the_sensitised(ingredients: Iterable[Ingredient]) -> Iterator[str]:
    """
    EUH208: sensitisers too weak to classify by, strong enough for somebody who has the allergy.

    >>> list(warnings_to_the_sensitised([Ingredient("rosin", 0.5, ("skin_sens_1",))]))
    ['Contains rosin. May produce an allergic reaction.']
    """
    for ingredient in ingredients:
        limits = [
            exact(ingredient.specific_limit(id) or SENSITISES_FROM_PERCENT)
            for id in SENSITISERS
            if id in ingredient.known_classes
        ]
        if any(ELICITS_FROM_SHARE * limit <= ingredient.most < limit for limit in limits):
            yield Sentence("Contains %(name)s. May produce an allergic reaction.") % {"name": ingredient.name}


def makes_dust(ingredients: Iterable[Ingredient]) -> bool:
    """
    Whether most of it is a powder that explodes when it is stirred up.

    >>> makes_dust([Ingredient("rosin", 60, ("comb_dust",))]), makes_dust([Ingredient("rosin", 40, ("comb_dust",))])
    (True, False)
    """
    return sum(each.most for each in ingredients if DUST in each.known_classes) > MOSTLY_PERCENT


def newer_classes(ingredients: Iterable[Ingredient], regime: str) -> Iterator[str]:
    """
    Ask for the classes of Reg. (EU) 2023/707: an older sheet, and the facts on record, say nothing of them.

    What only gives ions in water is not asked about: four of the classes are for organic substances alone.

    >>> next(newer_classes([Ingredient("toluene", 40, ("repr_2",))], "EU"))
    'endocrine, PBT or PMT classes (EUH380 to EUH451) of toluene: section 2 of a sheet of 2025 or later'
    """
    asked = [
        each.name
        for each in ingredients
        if each.classes is not UNKNOWN
        and each.additive_eye
        and each.most >= NEWER_FROM_PERCENT
        and any("EU" in CLASSES[id].regimes for id in each.classes)
    ]
    if asked and regime == "EU":
        yield Sentence(
            "endocrine, PBT or PMT classes (EUH380 to EUH451) of %(names)s: section 2 of a sheet of 2025 or later"
        ) % {"names": asked}
