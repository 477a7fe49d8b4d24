"""
Conditions of rules in three-valued logic: true, false, or not known and what is missing.

After Kleene: a condition is decided by what is known wherever that suffices, and by nothing else.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from chemistry.hazards.steps import plain
from chemistry.sentences import AND, OR, Sentence, strung
from chemistry.waste.streams import STREAMS
from chemistry.waste.vocabulary import NumberSpan, Property, Value, look_up

Truth = bool | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """missing: keys of the properties that would decide it, where holds is None."""

    holds: Truth
    missing: tuple[str, ...] = ()


BESIDE = {
    "below": (Sentence("%(property)s below %(limit)s"), Sentence("%(property)s below %(limit)s %(unit)s")),
    "at_most": (Sentence("%(property)s at most %(limit)s"), Sentence("%(property)s at most %(limit)s %(unit)s")),
    "above": (Sentence("%(property)s above %(limit)s"), Sentence("%(property)s above %(limit)s %(unit)s")),
    "at_least": (Sentence("%(property)s at least %(limit)s"), Sentence("%(property)s at least %(limit)s %(unit)s")),
}


@dataclass(frozen=True, slots=True)
class Threshold:
    """A property beside a limit, or beside words."""

    property: Property
    relation: str
    limit: Any

    def judge(self, known: Mapping[str, Value]) -> Judgement:
        value = known.get(self.property.key)
        # not known is neither yes nor no, or a rule would be met by silence
        holds = None if value is None else RELATIONS[self.property.kind][self.relation](value, self.limit)
        return Judgement(holds, (self.property.key,) if holds is None else ())

    def speaks_of(self) -> tuple[str, ...]:
        return (self.property.key,)

    def __str__(self) -> str:
        if isinstance(self.limit, bool):
            told = Sentence("%(property)s: yes") if self.limit else Sentence("%(property)s: no")
            return told % {"property": self.property.name}
        if isinstance(self.limit, Fraction):
            places = {"property": self.property.name, "limit": plain(self.limit), "unit": self.property.unit}
            bare, with_unit = BESIDE[self.relation]
            return (with_unit if self.property.unit else bare) % places
        words = strung((STREAMS[word].title if word in STREAMS else Sentence(word) for word in self.limit), OR)
        return Sentence("%(property)s: %(words)s") % {"property": self.property.name, "words": words}


@dataclass(frozen=True, slots=True)
class ConditionGroup:
    """Holds where all of the first hold, any of the second (unless there are none) and none of the third."""

    all: tuple["Condition", ...] = ()
    any: tuple["Condition", ...] = ()
    none: tuple["Condition", ...] = ()

    def judge(self, known: Mapping[str, Value]) -> Judgement:
        verdicts = [condition.judge(known) for condition in self.all]
        if self.any:
            # any of them holds unless all of them fail
            verdicts.append(negated(all_of([negated(condition.judge(known)) for condition in self.any])))
        verdicts.extend(negated(condition.judge(known)) for condition in self.none)
        return all_of(verdicts)

    def speaks_of(self) -> tuple[str, ...]:
        """The key of every property in it."""
        return tuple(
            dict.fromkeys(key for condition in (*self.all, *self.any, *self.none) for key in condition.speaks_of())
        )

    def __str__(self) -> str:
        parts = [in_brackets(condition) for condition in self.all]
        if self.any:
            either = strung(map(in_brackets, self.any), OR)
            parts.append(Sentence("(%(either)s)") % {"either": either} if self.all or self.none else either)
        parts.extend(Sentence("not %(condition)s") % {"condition": in_brackets(each)} for each in self.none)
        return strung(parts, AND) if parts else Sentence("always")


Condition = Threshold | ConditionGroup
ALWAYS = ConditionGroup()


def read(entry: object) -> Condition:
    """
    Take a condition as a rule's table tells it; a ValueError says what is wrong with it.

    "always"; or a property and one relation; or a table of "all", "any" and "none", each a list of conditions.

    >>> print(read({"all": [{"property": "is_liquid", "is": True}], "any": [{"property": "ph", "at_most": 2}]}))
    liquid: yes and (pH at most 2)
    """
    if entry == "always":
        return ALWAYS
    if not isinstance(entry, Mapping):
        raise ValueError(f'a condition must be "always" or a table, not {entry!r}')
    return read_threshold(entry) if "property" in entry else read_group(entry)


def read_group(entry: Mapping[str, object]) -> ConditionGroup:
    """
    All, any or none of some conditions; ValueError where it is none of these.

    >>> print(read_group({"any": [{"property": "is_liquid", "is": True}]}))
    liquid: yes
    """
    # an empty table would always hold; whoever means that writes it
    if not entry or not entry.keys() <= {"all", "any", "none"}:
        raise ValueError(f"a condition needs a property, or all, any or none, not {listed(entry)}")
    group: dict[str, tuple[Condition, ...]] = {}
    for name, conditions in entry.items():
        if not isinstance(conditions, list | tuple) or not conditions:
            raise ValueError(f"{name} needs a list of conditions, not {conditions!r}")
        group[name] = tuple(map(read, conditions))
    return ConditionGroup(**group)


def read_threshold(entry: Mapping[str, object]) -> Threshold:
    """
    What one property must be; ValueError where that cannot be said of it.

    >>> print(read_threshold({"property": "ph", "at_most": 2}))
    pH at most 2
    """
    of = look_up(str(entry["property"]))
    told = [name for name in entry if name != "property"]
    relations = RELATIONS[of.kind]
    if len(told) != 1 or told[0] not in relations:
        raise ValueError(f"{of.key} needs one of {', '.join(relations)}, not {listed(told)}")
    return Threshold(of, told[0], limit_of(of, entry[told[0]]))


def limit_of(of: Property, given: object) -> bool | Fraction | tuple[str, ...]:
    """
    The limit of a condition, as its property is given.

    >>> limit_of(look_up("ph"), 2), limit_of(look_up("is_liquid"), True)
    (Fraction(2, 1), True)
    """
    if of.kind in ("one of", "any of"):
        if not isinstance(given, list | tuple) or not given:
            raise ValueError(f"{of.key} needs a list of words, not {given!r}")
        for word in given:
            # only tried: a word misspelt in a rule would never be met, and its silence read as clear
            of.value([word] if of.kind == "any of" else word)
        return tuple(map(str, given))
    value = of.value(given)
    if isinstance(value, NumberSpan):
        if value.low != value.high:
            raise ValueError(f"{of.key} needs one number as its limit, not {given!r}")
        return value.low
    return bool(value)


def listed(names: Iterable[str]) -> str:
    """
    Names in a row, or that there are none.

    >>> listed(["any", "none"]), listed([])
    ('any, none', 'nothing')
    """
    return ", ".join(map(str, names)) or "nothing"


def in_brackets(condition: Condition) -> str:
    """
    A condition inside another, so that it is read as one.

    >>> in_brackets(read({"property": "ph", "at_most": 2}))
    'pH at most 2'
    """
    is_group = isinstance(condition, ConditionGroup)
    return Sentence("(%(condition)s)") % {"condition": condition} if is_group else str(condition)


def all_of(verdicts: Sequence[Judgement]) -> Judgement:
    """
    Whether all hold; what is not known leaves it open unless one fails.

    >>> all_of([Judgement(True), Judgement(None, ("ph",))]), all_of([Judgement(False), Judgement(None, ("ph",))])
    (Judgement(holds=None, missing=('ph',)), Judgement(holds=False, missing=()))
    """
    # one that fails decides, whatever else is not known
    if any(verdict.holds is False for verdict in verdicts):
        return Judgement(False)
    missing = tuple(dict.fromkeys(key for verdict in verdicts for key in verdict.missing))
    return Judgement(None, missing) if missing else Judgement(True)


def negated(verdict: Judgement) -> Judgement:
    """
    The contrary, as far as it is known.

    >>> negated(Judgement(True)), negated(Judgement(None, ("ph",)))
    (Judgement(holds=False, missing=()), Judgement(holds=None, missing=('ph',)))
    """
    return verdict if verdict.holds is None else Judgement(not verdict.holds)


def decided(yes: bool, no: bool) -> Truth:
    """
    Yes, no, or neither of them for certain.

    >>> decided(yes=True, no=False), decided(yes=False, no=False)
    (True, None)
    """
    return True if yes else False if no else None


# bounds are exact: a span that reaches over a limit decides nothing
RELATIONS: Mapping[str, Mapping[str, Callable[[Any, Any], Truth]]] = {
    "yes or no": {"is": lambda value, limit: value == limit},
    "number": {
        "below": lambda span, limit: decided(span.high < limit, span.low >= limit),
        "at_most": lambda span, limit: decided(span.high <= limit, span.low > limit),
        "above": lambda span, limit: decided(span.low > limit, span.high <= limit),
        "at_least": lambda span, limit: decided(span.low >= limit, span.high < limit),
    },
    "one of": {"one_of": lambda value, limit: value in limit},
    "any of": {
        "any_of": lambda words, limit: decided(
            not words.known.isdisjoint(limit), words.is_all and words.may.isdisjoint(limit)
        )
    },
}
