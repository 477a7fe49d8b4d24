"""Hazards that follow from percentages alone: skin, eye, allergy, organs, lungs, aquatic life. data/limits.toml"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from chemistry import data_files
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import Ingredient, exact, room_percent, worst_shares
from chemistry.hazards.regimes import REGIMES
from chemistry.hazards.steps import Step, plain
from chemistry.sentences import PLUS, Sentence, strung


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcentrationLimit:
    """
    From how much of an ingredient a mixture takes a class.

    of: class of the ingredient -> percent that suffices alone; shares of these add up to 1.
    acts_alone: the limit holds only for ingredients whose additivity is not trusted.
    not_alone: classes of ingredients that count only beside others.
    """

    gives: str
    of: Mapping[str, Fraction]
    adds_up: bool
    regimes: frozenset[str]
    acts_alone: bool
    times_m: bool
    not_alone: frozenset[str]
    source: str
    grade: str


@dataclass(frozen=True, slots=True)
class ShareOfLimit:
    """How much of a limit an ingredient takes up, and by which of its classes."""

    ingredient: Ingredient
    class_id: str
    limit_percent: Fraction
    m: Fraction = Fraction(1)

    @property
    def size(self) -> Fraction:
        return self.ingredient.most * self.m / self.limit_percent

    def __str__(self) -> str:
        times_m = Sentence("%(name)s %(percent)s %% × M %(m)s / %(limit)s %%")
        share = Sentence("%(name)s %(percent)s %% / %(limit)s %%") if self.m == 1 else times_m
        return share % {
            "name": self.ingredient.name,
            "percent": plain(self.ingredient.most),
            "m": plain(self.m),
            "limit": plain(self.limit_percent),
        }


LIMITS = tuple(
    ConcentrationLimit(
        gives=entry["gives"],
        of={id: Fraction(percent) for id, percent in entry["of"].items()},
        adds_up=entry["adds_up"],
        regimes=frozenset(entry.get("regimes", REGIMES)),
        acts_alone=entry.get("acts_alone", False),
        times_m=entry.get("times_m", False),
        not_alone=frozenset(entry.get("not_alone", ())),
        source=entry["source"],
        grade=entry["grade"],
    )
    for entry in data_files.read("limits")["limit"]
)


def steps(ingredients: Sequence[Ingredient], regime: str) -> Iterator[Step]:
    """
    Yield a line for each limit that some ingredient counts towards, reached or not.

    >>> [step.gives for step in steps([Ingredient("blue crystals", 12, ("eye_dam_1",))], "UN")]
    ['eye_dam_1', 'eye_irrit_2']
    """
    spare = room_percent(ingredients)
    for limit in (limit for limit in LIMITS if regime in limit.regimes):
        shares = [share for ingredient in ingredients if (share := largest_share(ingredient, limit))]
        # classes that only add to others give nothing by themselves
        if {share.class_id for share in shares} <= limit.not_alone:
            continue
        counted = [shares] if limit.adds_up else [[one] for one in shares]
        yield from (step_towards(limit, together(each, spare)) for each in counted)


def together(shares: Sequence[ShareOfLimit], spare: Fraction) -> list[ShareOfLimit]:
    """
    Shares as large as they can be all at once. spare: what the low ends of the mixture leave. [%]

    >>> parts = [ShareOfLimit(Ingredient(name, (0, 100)), "skin_corr_1", Fraction(3)) for name in ("lye", "acid")]
    >>> [str(share) for share in together(parts, Fraction(100))]
    ['lye 100 % / 3 %']
    """
    percents = worst_shares(
        [share.ingredient for share in shares], [share.m / share.limit_percent for share in shares], spare
    )
    return [
        replace(share, ingredient=replace(share.ingredient, percent=percent))
        for share, percent in zip(shares, percents, strict=True)
        if percent
    ]


def step_towards(limit: ConcentrationLimit, shares: Sequence[ShareOfLimit]) -> Step:
    """
    How far the shares of a limit go together, and the class that they lead to from 1 on.

    >>> limit = next(each for each in LIMITS if each.gives == "eye_dam_1")
    >>> print(step_towards(limit, [ShareOfLimit(Ingredient("lye", 1), "skin_corr_1", Fraction(3))]))
    lye 1 % / 3 % = 0.333: below 1, so not Serious eye damage, category 1
    """
    total = sum((share.size for share in shares), Fraction())
    reached = total >= 1
    outcome = (
        Sentence("%(sum)s = %(total)s: at least 1, so %(hazard)s")
        if reached
        else Sentence("%(sum)s = %(total)s: below 1, so not %(hazard)s")
    )
    return Step(
        text=outcome % {"sum": strung((map(str, shares)), PLUS), "total": plain(total), "hazard": CLASSES[limit.gives]},
        source=limit.source,
        gives=limit.gives if reached else None,
    )


def largest_share(ingredient: Ingredient, limit: ConcentrationLimit) -> ShareOfLimit | None:
    """
    The largest share its classes take; None where none counts. A specific limit goes before every generic one.

    >>> limit = next(each for each in LIMITS if each.gives == "eye_dam_1" and not each.acts_alone)
    >>> print(largest_share(Ingredient("salt", 12, ("eye_dam_1",)), limit))
    salt 12 % / 3 %
    """
    # what was tested for this very substance says more than a limit made for all
    specific = ingredient.specific_limit(limit.gives)
    if specific is not None:
        # a limit of its own may lie below the general cut-off, which must not hide it then
        cut_off = min(specific, CLASSES[limit.gives].relevant_from_percent)
        counts = not limit.acts_alone and ingredient.most >= cut_off
        return ShareOfLimit(ingredient, limit.gives, specific) if counts else None
    if limit.acts_alone and ingredient.additive_eye:
        return None
    shares = (
        ShareOfLimit(ingredient, id, limit.of[id], m_factor(ingredient, id) if limit.times_m else Fraction(1))
        for id in ingredient.known_classes
        if id in limit.of and is_relevant(ingredient, id)
    )
    return max(shares, key=lambda share: share.size, default=None)


def m_factor(ingredient: Ingredient, class_id: str) -> Fraction:
    """
    How many times its percentage counts; only the aquatic categories 1 have such a factor.

    >>> salt = Ingredient("salt", 12, ("aq_acute_1", "eye_dam_1"), m_acute=10)
    >>> int(m_factor(salt, "aq_acute_1")), int(m_factor(salt, "eye_dam_1"))
    (10, 1)
    """
    factors = {"aq_acute_1": ingredient.m_acute, "aq_chronic_1": ingredient.m_chronic}
    return exact(factors.get(class_id, 1))


def is_relevant(ingredient: Ingredient, class_id: str) -> bool:
    """
    Is there enough of it to count at all? The cut-off of an aquatic category 1 is divided by its M-factor.

    >>> [is_relevant(Ingredient("salt", percent, ("eye_dam_1",)), "eye_dam_1") for percent in (1, 0.5)]
    [True, False]
    """
    return ingredient.most * m_factor(ingredient, class_id) >= CLASSES[class_id].relevant_from_percent
