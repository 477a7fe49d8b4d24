"""What stands in a vessel, as ingredients of a mixture: a substance off the shelf, a bath, a bath partly dried up."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal
from fractions import Fraction
from typing import TypeVar

from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import NOT_TOXIC, ROUTES, UNKNOWN, Ingredient, NotToxic, Number, exact
from chemistry.hazards.mixture import ACID_TO_PH, PH_SOURCE, Classification, classify
from chemistry.hazards.steps import Step
from chemistry.hazards.substances import SUBSTANCES, Substance, SubstanceHazards
from chemistry.measured import plain
from chemistry.quantity import quantity
from chemistry.sentences import Sentence
from chemistry.solution import sulfate, sulfuric
from chemistry.sourced import Fact

T = TypeVar("T")
D = TypeVar("D")

HUNDREDTHS = Decimal("0.01")
DRIED_OFF = Fraction(1, 5)  # of a bath's water, before anybody tops it up: ours, no source


def ingredient_of(key: str, percent: Number | tuple[Number, Number], *, of_part: bool = False) -> Ingredient:
    """
    A substance off the shelf, with the facts on record; the supplier's own sheet goes before them.

    percent: of the substance as it is sold, by mass, exact or (low, high). [%]
    of_part: the percentage is of what is dissolved in it, as supplier's sheets list it.

    >>> vinegar = ingredient_of("acetic_acid_5pct", 100)
    >>> vinegar.classes, vinegar.ph
    ((), 2.4)
    """
    if key not in SUBSTANCES:
        raise ValueError(f"no such substance: {key}")
    substance = SUBSTANCES[key]
    hazards, stands_in = substance.hazards, substance.hazards.stands_in
    return Ingredient(
        name=substance.name,
        percent=percent,
        classes=UNKNOWN if hazards.classes is None else (*hazards.classes.value, *value_or(hazards.stricter, ())),
        ate=estimates_by_route(hazards, of_part=of_part),
        m_acute=value_or(hazards.m_acute, 1),
        m_chronic=value_or(hazards.m_chronic, 1),
        specific_limits=limits_as_sold(hazards, of_part=of_part),
        additive_eye=value_or(hazards.adds_up, True),
        flash_point_c=value_or(hazards.flash_point_c, None),
        boiling_point_c=value_or(hazards.boiling_point_c, None),
        ph=value_or(hazards.ph, None),
        euh=value_or(hazards.euh, ()),
        missing=(OF_THE_PRODUCT % {"what": stands_in.value, "name": substance.name},) if stands_in else (),
        defaults=tuple(rests_on_memory(substance)),
    )


def classify_as_sold(key: str, regime: str) -> Classification:
    """
    The hazards of a substance as it comes off the shelf, by the facts on record.

    >>> classify_as_sold("acetone", "US").classes
    ('flam_liq_2', 'eye_irrit_2', 'stot_se_3_narc')
    """
    ingredient = ingredient_of(key, 100)
    # the pH of a solid is that of its solution, which nobody has made yet
    is_dry = SUBSTANCES[key].state == "solid"
    return classify(
        [replace(ingredient, ph=None) if is_dry else ingredient],
        regime,
        flash_point_c=ingredient.flash_point_c,
        boiling_point_c=ingredient.boiling_point_c,
        viscosity_mm2_per_s=value_or(SUBSTANCES[key].hazards.viscosity_mm2_per_s, None),
    )


def bath(
    blue_percent: Number, *, acid_percent: Number = 0, dried_off: Number = DRIED_OFF, additive_eye: bool = False
) -> tuple[Ingredient, ...]:
    """
    A bath of copper sulfate as it becomes when some of its water dries off: that is what a label has to hold for.

    blue_percent: blue crystals in the bath by mass, all salt in the vessel, at the high end of what is known. [%]
    acid_percent: sulfuric acid by mass, pure, at the high end of what is known. [%]
    dried_off: share of its water that may dry off before the next topping up; 0 for the bath as it stands. [-]
    additive_eye: True applies the 3 % limit for the eye, where an inorganic salt has 1 %: on your own judgement only.

    >>> blue_crystals, water = bath(20)
    >>> round(float(blue_crystals.percent), 2), round(float(water.percent), 2)
    (23.81, 76.19)
    """
    together = exact(blue_percent) + exact(acid_percent)
    percent = dried_percent(together, dried_off=dried_off)
    # both stay as they are to each other: only water leaves
    acid = percent * exact(acid_percent) / together if acid_percent else Fraction(0)
    crystals = replace(ingredient_of("copper_sulfate_pentahydrate", percent - acid), additive_eye=additive_eye)
    # the pH of a bath is not that of the bottle: whoever asks for it says what the acid in it makes
    acids = [replace(ingredient_of("sulfuric_acid", acid, of_part=True), ph=None)] if acid else []
    return (crystals, *acids, ingredient_of("water", 100 - percent))


def dried_percent(blue_percent: Number, *, dried_off: Number = DRIED_OFF) -> Fraction:
    """
    Blue crystals in a bath by mass once some of its water has dried off. [%]

    percent = 100 blue / (blue + (100 - blue) (1 - dried off))

    >>> float(dried_percent(20, dried_off=0.5))
    33.333333333333336
    """
    blue, gone = exact(blue_percent), exact(dried_off)
    if not 0 <= blue <= 100:
        raise ValueError(f"blue crystals must make between 0 and 100 % of the bath, not {blue_percent} %")
    if not 0 <= gone < 1:
        raise ValueError(f"the share of water dried off must be at least 0 and below 1, not {dried_off}")
    return 100 * blue / (blue + (100 - blue) * (1 - gone))


def blue_percent(strength_g_per_l: float, temperature_c: float = 20.0) -> float:
    """
    Blue crystals in a bath by mass, from its strength and density. [%]

    Source: definition of strength; density after `sulfate.density_g_per_ml`.

    >>> round(blue_percent(250), 1)
    21.7
    """
    return 100 * sulfate.mass_fraction_from_strength(strength_g_per_l, temperature_c) * sulfate.BLUE_PER_ANHYDROUS


def acid_percent(acid_g_per_l: float, strength_g_per_l: float) -> float:
    """
    Sulfuric acid in a bath by mass, taken as no heavier than it would be without it. [%]

    Source: definition; density after `sulfate.density_g_per_ml`.

    >>> round(acid_percent(50, 200), 1)
    4.4
    """
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, 20.0)
    return 100 * acid_g_per_l / (1000 * sulfate.density_g_per_ml(w, 20.0))


def corrodes(acid_g_per_l: float) -> Iterator[Step]:
    """
    What a bath does at the pH that so much acid may make; measured on the bath itself, the pH tells it better. [g/L]

    Source: CLP 3.2.3.1.2 and 3.3.3.1 on pH; the pH by own estimate.

    >>> [step.gives for step in corrodes(50)], list(corrodes(0.5))
    (['skin_corr_1', 'eye_dam_1'], [])
    """
    if not acid_g_per_l:
        return
    ph = sulfuric.lowest_ph(acid_g_per_l)
    if ph <= ACID_TO_PH:
        for id in ("skin_corr_1", "eye_dam_1"):
            text = Sentence("%(acid)s of acid may make pH %(ph)s, at most %(most)s: %(hazard)s") % {
                "acid": quantity(acid_g_per_l, "g/L", 2),
                "ph": plain(ph, 1),
                "most": ACID_TO_PH,
                "hazard": CLASSES[id],
            }
            source = Sentence("%(source)s; the pH by own estimate") % {"source": PH_SOURCE}
            yield Step(text=text, source=source, gives=id)


def rounded_up(percent: float) -> Decimal:
    """
    To hundredths, so that a page shows the very number that was classified. [%]

    >>> rounded_up(21.641)
    Decimal('21.65')
    """
    return Decimal(str(percent)).quantize(HUNDREDTHS, rounding=ROUND_CEILING)


def value_or(fact: Fact[T] | None, otherwise: D) -> T | D:
    """
    What a fact says, or what stands for it where nobody knows.

    >>> value_or(Fact(value=80, source="a handbook"), None), value_or(None, ())
    (80, ())
    """
    return otherwise if fact is None else fact.value


def estimates_by_route(hazards: SubstanceHazards, *, of_part: bool = False) -> Mapping[str, Number | NotToxic]:
    """
    By route; a substance known not to be classified has no category by any route that is not told.

    >>> estimates_by_route(SUBSTANCES["copper_sulfate_pentahydrate"].hazards)["oral"]
    Fraction(481, 1)
    """
    estimates: dict[str, Number | NotToxic] = {}
    if hazards.classes is not None and not hazards.classes.value:
        estimates.update(dict.fromkeys(ROUTES, NOT_TOXIC))
    # what is sold is partly water, so the dissolved part is by so much more toxic
    share = exact(hazards.active_percent.value) / 100 if of_part and hazards.active_percent else Fraction(1)
    for route, fact in hazards.ate.items():
        estimates[route] = NOT_TOXIC if isinstance(fact.value, str) else exact(fact.value) * share
    return estimates


def limits_as_sold(hazards: SubstanceHazards, *, of_part: bool = False) -> tuple[tuple[str, Number], ...]:
    """
    The specific limits as percentages of what is sold, at the most it may hold of the active part.

    >>> [(id, int(percent)) for id, percent in limits_as_sold(SUBSTANCES["acetic_acid_glacial"].hazards)][:2]
    [('skin_corr_1', 25), ('skin_irrit_2', 10)]
    """
    if hazards.specific_limits is None:
        return ()
    active = None if of_part else hazards.active_percent
    # as strong as it may be sold: a weaker bottle is then judged too strictly, never too mildly
    most = 100 if active is None else exact(active.high or active.value)
    return tuple((id, 100 * exact(percent) / most) for id, percent in hazards.specific_limits.value)


OF_THE_PRODUCT = Sentence("the safety sheet of the product itself: %(what)s (%(name)s)")


def rests_on_memory(substance: Substance) -> Iterator[str]:
    """
    In a sentence which facts of a substance nobody read in a source.

    >>> list(rests_on_memory(SUBSTANCES["beeswax"]))
    ["beeswax: classes from memory; replace with your supplier's sheet"]
    """
    hazards = substance.hazards
    facts = {
        Sentence("classes"): hazards.classes,
        Sentence("specific limits"): hazards.specific_limits,
        **{Sentence("acute toxicity (%(route)s)") % {"route": route}: fact for route, fact in hazards.ate.items()},
        Sentence("M-factor"): hazards.m_acute,
        Sentence("flash point"): hazards.flash_point_c,
        Sentence("boiling point"): hazards.boiling_point_c,
    }
    remembered = [words for words, fact in facts.items() if fact is not None and fact.is_default]
    if remembered:
        yield Sentence("%(name)s: %(facts)s from memory; replace with your supplier's sheet") % {
            "name": substance.name,
            "facts": remembered,
        }
