"""The properties of a waste that rules may speak of, and what each may be. data/vocabulary.toml"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.ingredients import UNKNOWN, Number, exact
from chemistry.hazards.steps import plain
from chemistry.sentences import Sentence

Range = Number | tuple[Number, Number]


@dataclass(frozen=True, slots=True)
class NumberSpan:
    """A number known to lie between two, which may be the same."""

    low: Fraction
    high: Fraction


def span(given: Range) -> NumberSpan:
    """
    Take a number, or (low, high), exactly as written.

    >>> span(2.5) == span((2.5, 2.5)) == NumberSpan(Fraction(5, 2), Fraction(5, 2))
    True
    """
    low, high = given if isinstance(given, tuple) else (given, given)
    if exact(low) > exact(high):
        raise ValueError(f"a range is written low end first, not {given}")
    return NumberSpan(exact(low), exact(high))


@dataclass(frozen=True, slots=True)
class Words:
    """Words known to hold; of the others those that may hold too, which is any unless this is all of them."""

    known: frozenset[str]
    is_all: bool
    may: frozenset[str] = frozenset()


Value = bool | str | NumberSpan | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Property:
    """
    Something that is known of a waste, or needs info.

    kind: yes or no, number, one of, any of.
    low, high: what a number can be at all, in its unit.
    choices, pattern: the words that may stand for it; one of the two, where its kind is of words.
    measure: what to do where it is not known.
    lasts: what of an answer outlasts the next thing that goes in: all, yes, no, words, or nothing.
    """

    key: str
    name: str
    kind: str
    meaning: str
    measure: str
    unit: str = ""
    low: Fraction = Fraction()
    high: Fraction = Fraction()
    choices: tuple[str, ...] = ()
    pattern: str = ""
    lasts: str = ""

    def value(self, given: object) -> Value:
        """
        Take what is known of it, and refuse what it cannot be.

        >>> VOCABULARY["ph"].value((2, 2.5))
        NumberSpan(low=Fraction(2, 1), high=Fraction(5, 2))
        >>> VOCABULARY["ph"].value("sour")
        Traceback (most recent call last):
        ValueError: pH must be a number or (low, high), not 'sour'
        """
        return VALUE_OF_KIND[self.kind](self, given)

    def after_more(self, given: object) -> object:
        """
        What of an answer still holds once something else went in; None where nothing does.

        >>> VOCABULARY["ph"].after_more(5.5), VOCABULARY["may_hold_other_metals"].after_more(True)
        (None, True)
        """
        if self.lasts == "words" and isinstance(given, list) and given:
            return [*given, UNKNOWN]
        # lead that is in it stays in it; that there was none says nothing of what came later
        return given if self.lasts == "all" or (self.lasts, given) in (("yes", True), ("no", False)) else None


def known(properties: Mapping[str, object]) -> dict[str, Value]:
    """
    What is known of a waste, checked; None and UNKNOWN stand for what is not known.

    A number may be (low, high); words may hold UNKNOWN beside those known: there may be others.

    >>> known({"is_liquid": True, "ph": None})
    {'is_liquid': True}
    """
    told = {look_up(key): given for key, given in properties.items()}
    return {of.key: of.value(given) for of, given in told.items() if given is not None and given is not UNKNOWN}


def look_up(key: str) -> Property:
    """
    >>> look_up("ph").name
    'pH'
    """
    if key not in VOCABULARY:
        raise ValueError(f"no such property: {key}")
    return VOCABULARY[key]


def yes_or_no(of: Property, given: object) -> bool:
    """
    What was given, where it is one of the two; else ValueError.

    >>> yes_or_no(look_up("is_liquid"), True)
    True
    """
    if not isinstance(given, bool):
        raise ValueError(f"{of.name} must be True or False, not {given!r}")
    return given


def number_between(of: Property, given: object) -> NumberSpan:
    """
    A number or both ends of its range, where the property can be so much; else ValueError.

    >>> number_between(look_up("ph"), (2, 3))
    NumberSpan(low=Fraction(2, 1), high=Fraction(3, 1))
    """
    ends = given if isinstance(given, tuple) else (given, given)
    # to Python a yes is the number one
    if len(ends) != 2 or not all(isinstance(end, Number) and not isinstance(end, bool) for end in ends):
        raise ValueError(f"{of.name} must be a number or (low, high), not {given!r}")
    read = span(ends)
    if not of.low <= read.low <= read.high <= of.high:
        bounds = f"{plain(of.low)} and {plain(of.high)} {of.unit}".rstrip()
        raise ValueError(f"{of.name} must be between {bounds}, not {given!r}")
    return read


def one_word(of: Property, given: object) -> str:
    """
    The word, where the property may have it; else ValueError.

    >>> one_word(look_up("kind"), "rinse")
    'rinse'
    """
    if isinstance(given, str) and (given in of.choices or (of.pattern and re.fullmatch(of.pattern, given))):
        return given
    admitted = f"one of {', '.join(of.choices)}" if of.choices else f"written as {of.pattern}"
    raise ValueError(f"{of.name} must be {admitted}, not {given!r}")


def several_words(of: Property, given: object) -> Words:
    """
    The words, each of which the property may have, and whether these are all; else ValueError.

    >>> several_words(look_up("euh_codes"), ["EUH066"])
    Words(known=frozenset({'EUH066'}), is_all=True, may=frozenset())
    """
    if isinstance(given, Words):
        return given
    if isinstance(given, str) or not isinstance(given, Iterable):
        raise ValueError(f"{of.name} must be a collection of words, not {given!r}")
    # UNKNOWN among them says that there may be others
    words = list(given)
    return Words(frozenset(one_word(of, word) for word in words if word is not UNKNOWN), UNKNOWN not in words)


VALUE_OF_KIND: Mapping[str, Callable[[Property, object], Value]] = {
    "yes or no": yes_or_no,
    "number": number_between,
    "one of": one_word,
    "any of": several_words,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementShare:
    """
    A property that is added up from the percentages of the ingredients.

    how: "sum" of all ingredients with these classes, or the "largest" of them alone.
    may_be_less: the class is wider than what the rule means, so all of it may count, or none.
    """

    codes: str
    how: str
    classes: tuple[str, ...]
    may_be_less: bool = False


def property_of_share(key: str, share: StatementShare) -> Property:
    """
    A property as rules speak of it, made of a share that is added up.

    >>> property_of_share("flammable", StatementShare(codes="H225", how="sum", classes=("flam_liq_2",))).name
    'ingredients with H225, all together'
    """
    together = Sentence("ingredients with %(codes)s, all together")
    name = together if share.how == "sum" else Sentence("ingredients with %(codes)s, the largest of them")
    return Property(
        key=key,
        name=name % {"codes": share.codes},
        kind="number",
        unit="%",
        high=Fraction(100),
        meaning=Sentence("percent by mass; an ingredient counts from the cut-off of its class"),
        measure=Sentence("Look on the sheet of every ingredient, sections 2.2 and 3, for %(codes)s and its percentage.")
        % {"codes": share.codes},
    )


TABLES = data_files.read("vocabulary")
SHARES: Mapping[str, StatementShare] = MappingProxyType(
    {key: StatementShare(**entry | {"classes": tuple(entry["classes"])}) for key, entry in TABLES["shares"].items()}
)
VOCABULARY: Mapping[str, Property] = MappingProxyType(
    {
        key: Property(
            key=key,
            **entry
            | {end: Fraction(entry.get(end, 0)) for end in ("low", "high")}
            | {"choices": tuple(entry.get("choices", ()))},
        )
        for key, entry in TABLES["properties"].items()
    }
    | {key: property_of_share(key, share) for key, share in SHARES.items()}
)
