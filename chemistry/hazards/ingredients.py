"""What a mixture is made of. Absence of a fact is never read as absence of a hazard."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

from chemistry.hazards.classes import check_classes
from chemistry.measured import digits

Number = int | float | Decimal | Fraction


class Instead(Enum):
    """What may stand where a fact would."""

    UNKNOWN = "not known"
    NOT_TOXIC = "outside every category of acute toxicity"


UNKNOWN: Final = Instead.UNKNOWN
NOT_TOXIC: Final = Instead.NOT_TOXIC

Unknown = Literal[Instead.UNKNOWN]
NotToxic = Literal[Instead.NOT_TOXIC]

ROUTES = {"oral": "mg/kg", "dermal": "mg/kg", "vapour": "mg/L", "dust": "mg/L"}


@lru_cache(4096, typed=True)  # the same few percentages are held against every limit
def exact(number: Number) -> Fraction:
    """
    Take a number as it is written, so that none drifts across a limit.

    >>> exact(24.05) == exact(Decimal("24.05")) == Fraction(2405, 100)
    True
    """
    # by its digits: the float 0.1 is a hair more than a tenth
    try:
        return Fraction(str(number))
    except ValueError:
        raise ValueError(f"{number!r} is not a number") from None


@dataclass(frozen=True, slots=True)
class Ingredient:
    """
    One ingredient of a mixture and what is known of its hazards.

    percent: share of the mixture by mass, exact or (low, high); the worst end counts. [%]
    classes: ids of data/classes.toml; () says that it is known not to be classified.
    ate: acute toxicity estimate by route, in mg/kg (oral, dermal) and mg/L (vapour, dust); a route left out is unknown
        unless a class tells it, NOT_TOXIC is said explicitly, of a route or of all.
    m_acute, m_chronic: multiply the percentage in the aquatic sums, where the category is 1.
    specific_limits: (class id, from percent) pairs, which go before the generic limits; a sensitiser of category 1A has
        0.1 % for skin_sens_1 or resp_sens_1 (CLP Table 3.4.5). An ingredient whose limit for
        skin corrosion replaces the generic one needs one for eye_dam_1 too.
    additive_eye: False for what acts on its own in an eye and on skin (acids, bases, inorganic salts, aldehydes,
        phenols, surfactants: UN GHS and CLP 3.2.3.3.4, 3.3.3.3.4): then the stricter limits hold for both.
    ph: of the ingredient in water; it never classifies, it only prompts a measurement of the mixture.
    euh: statements of its own that CLP adds to its classes.
    missing, defaults: sentences that the classification hands on: what must be asked for, what rests on memory.
    """

    name: str
    percent: Number | tuple[Number, Number]
    classes: tuple[str, ...] | Unknown = UNKNOWN
    ate: Mapping[str, Number | NotToxic | Unknown] | NotToxic | Unknown = UNKNOWN
    m_acute: Number = 1
    m_chronic: Number = 1
    specific_limits: tuple[tuple[str, Number], ...] = ()
    additive_eye: bool = True
    flash_point_c: Number | None = None
    boiling_point_c: Number | None = None
    ph: Number | None = None
    euh: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    defaults: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.least <= self.most <= 100:
            raise ValueError(f"percent of {self.name} must lie between 0 and 100, low end first, not {self.percent}")
        check_classes(self.known_classes)
        check_classes(id for id, _ in self.specific_limits)
        if any(exact(limit) <= 0 for _, limit in self.specific_limits):
            raise ValueError(f"a specific limit of {self.name} must be above 0 %")
        if exact(self.m_acute) < 1 or exact(self.m_chronic) < 1:
            raise ValueError(f"an M-factor of {self.name} must be 1 or more")
        for route, estimate in () if isinstance(self.ate, Instead) else self.ate.items():
            if route not in ROUTES:
                raise ValueError(f"route of {self.name} must be one of {', '.join(ROUTES)}, not {route!r}")
            if not isinstance(estimate, Instead) and exact(estimate) <= 0:
                raise ValueError(f"acute toxicity estimate of {self.name} must be above 0, not {estimate}")

    @property
    def least(self) -> Fraction:
        """The low end of its share. [%]"""
        return exact(self.percent[0] if isinstance(self.percent, tuple) else self.percent)

    @property
    def most(self) -> Fraction:
        """The high end of its share, which counts for every hazard of its own. [%]"""
        return exact(self.percent[1] if isinstance(self.percent, tuple) else self.percent)

    @property
    def known_classes(self) -> tuple[str, ...]:
        """Its classes as far as they are known; ask `classes` whether they are."""
        return () if self.classes is UNKNOWN else self.classes

    def specific_limit(self, class_id: str) -> Fraction | None:
        """The lowest percentage from which the ingredient alone gives a class, where its entry sets one. [%]"""
        return min((exact(limit) for id, limit in self.specific_limits if id == class_id), default=None)


def unnamed_percent(ingredients: Iterable[Ingredient]) -> Fraction:
    """
    The largest share of the mixture that its ingredients leave unnamed. [%]

    Ranges are solved together. Where the others can make up whatever any one of them lacks, they are read as a recipe
    of the whole, and nothing is unnamed; else the rest is all that the low ends leave, because a range that nothing
    completes bounds one ingredient and not what is beside it. Source: ours; CLP Annex II to REACH, 3.2, and 29 CFR
    1910.1200 App. D let a sheet give ranges and leave out what is not hazardous.

    >>> unnamed_percent((Ingredient("alcohol", (62, 70)), Ingredient("water", (30, 38))))
    Fraction(0, 1)
    >>> unnamed_percent([Ingredient("acetone", (5, 10))])
    Fraction(95, 1)
    """
    parts = list(ingredients)
    spare = spare_percent(parts)
    widest = max((part.most - part.least for part in parts), default=Fraction())
    return Fraction() if sum((part.most for part in parts), -widest) >= 100 else spare


def spare_percent(ingredients: Iterable[Ingredient]) -> Fraction:
    """
    What the low ends of all ranges leave of the whole. [%]

    Raises ValueError where they make more than the whole. Source: arithmetic.

    >>> spare_percent([Ingredient("water", (95, 100)), Ingredient("salt", (0, 100))])
    Fraction(5, 1)
    """
    least = sum((part.least for part in ingredients), Fraction())
    if least > 100:
        raise ValueError(f"the ingredients make more than 100 %: {digits(float(least))} %")
    return 100 - least


def room_percent(ingredients: Iterable[Ingredient]) -> Fraction:
    """
    How much all ranges together may lie above their low ends. [%]

    What the low ends leave; where they leave nothing and something beside them is a range still, what was written does
    not go together, and none of it counts as nothing because another was written as all of it.
    Raises ValueError where the low ends make more than the whole. Source: arithmetic; the second rule is ours.

    >>> room_percent([Ingredient("acetone", (100, 100)), Ingredient("toluene", (0, 10))])
    Fraction(10, 1)
    """
    parts = tuple(ingredients)
    return spare_percent(parts) or max((exact(part.most) - exact(part.least) for part in parts), default=Fraction())


def within_whole(ingredients: Iterable[Ingredient]) -> tuple[Ingredient, ...]:
    """
    Each with no more than the low ends of all others leave of the whole.

    >>> [part.percent for part in within_whole([Ingredient("water", (95, 100)), Ingredient("salt", (0, 100))])]
    [(95, 100), (Fraction(0, 1), Fraction(5, 1))]
    """
    parts = tuple(ingredients)
    spare = room_percent(parts)
    return tuple(
        replace(part, percent=(part.least, part.least + spare)) if part.most > part.least + spare else part
        for part in parts
    )


def worst_shares(
    parts: Sequence[Ingredient], weights: Sequence[Fraction], spare: Fraction, *, at_most: int | None = None
) -> tuple[Fraction, ...]:
    """
    The percentages at which Σ weight × percent is largest: ranges up to the whole cannot all be at their high ends.

    The heaviest go to their high ends while the whole leaves room, all others stay at their low ends.
    spare: what the low ends of the mixture leave. [%] at_most: how many may leave their low end; None for all.
    Source: arithmetic, the fractional knapsack.

    >>> lye, salt = Ingredient("lye", (0, 100)), Ingredient("salt", (20, 60))
    >>> [int(percent) for percent in worst_shares([lye, salt], [Fraction(1), Fraction(2)], Fraction(80))]
    [40, 60]
    """
    percents = [part.least for part in parts]
    for place in sorted(range(len(parts)), key=weights.__getitem__, reverse=True)[:at_most]:
        added = min(parts[place].most - parts[place].least, spare)
        percents[place] += added
        spare -= added
    return tuple(percents)
