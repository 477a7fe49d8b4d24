"""
Rules about waste and the dated sets they stand in; those we ship are in data/rules/*.toml.

A rule says when something is to be thought of and who says so. It never decides: what it flags is suggested, and local
rules decide.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from types import MappingProxyType

from chemistry import data_files
from chemistry.waste import conditions
from chemistry.waste.conditions import Condition
from chemistry.waste.vocabulary import look_up

# in the order in which a page shows them
ABOUT = ("sewer and water", "what it is", "fire", "container", "treatment", "where it goes", "month total", "record")
SEVERITIES = (
    "emergency",
    "stop",
    "likely hazardous",
    "possibly hazardous",
    "ask",
    "duty",
    "caution",
    "reminder",
    "possible exclusion",
    "note",
)
# read: the text of the provision or official document, possibly in a copy; secondary: somebody's quotation or summary;
# told: by somebody to this studio
EVIDENCE = ("read", "secondary", "from memory", "ours", "told")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """
    When something is to be thought of, what it is, and who says so.

    as_of: date of the text that was followed, or on which it was written down.
    evidence: how the text is known: read, secondary, from memory, ours, told.
    about: what the rule speaks of; one of ABOUT.
    measure: what to do where a property is missing, if it is not what the vocabulary says. key -> sentence
    """

    id: str
    when: Condition
    text: str
    citation: str
    as_of: date
    evidence: str
    about: str
    severity: str
    measure: Mapping[str, str] = field(default_factory=dict)

    def ask(self, key: str) -> str:
        """What to do where a property of this rule is missing."""
        return self.measure.get(key) or look_up(key).measure


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleSet:
    """
    Dated rules for some regions, or for everywhere.

    regions: keys of a workshop's region; an empty set is chosen by none.
    ask: whom to ask for what the set cannot know. collects: who takes what households give up.
    """

    id: str
    title: str
    version: date
    rules: tuple[Rule, ...]
    regions: frozenset[str] = frozenset()
    is_everywhere: bool = False
    ask: str = ""
    collects: str = ""


def read_rule(entry: Mapping[str, object]) -> Rule:
    """
    Take a rule as a table tells it; a ValueError says in a sentence what is wrong with it.

    >>> told = {"id": "local.rinse", "when": "always", "text": "Rinse: bring it in a pail.", "citation": "depot"}
    >>> read_rule(told)
    Traceback (most recent call last):
    ValueError: rule local.rinse: as_of, evidence, about, severity are missing
    """
    where = f"rule {entry.get('id') or '(without an id)'}"
    try:
        check_names(entry)
        when, measure = conditions.read(entry["when"]), entry.get("measure", {})
        if not isinstance(measure, Mapping):
            raise ValueError(f"measure must be a table of sentences, not {measure!r}")
        # a sentence about what the rule never asks for would never be printed
        if stray := measure.keys() - set(when.speaks_of()):
            raise ValueError(f"measure speaks of {', '.join(sorted(stray))}, the condition does not")
        return Rule(
            id=words_of("id", entry["id"]),
            when=when,
            text=words_of("text", entry["text"]),
            citation=words_of("citation", entry["citation"]),
            as_of=date_of(entry["as_of"]),
            evidence=one_of("evidence", entry["evidence"], EVIDENCE),
            about=one_of("about", entry["about"], ABOUT),
            severity=one_of("severity", entry["severity"], SEVERITIES),
            measure=MappingProxyType(dict(measure)),
        )
    except ValueError as error:
        # with the name of its rule, or nobody would find it among hundreds
        raise ValueError(f"{where}: {error}") from None


def read_rules(entries: Iterable[Mapping[str, object]]) -> tuple[Rule, ...]:
    """
    Take the rules of a set; no two may share an id.

    >>> read_rules([])
    ()
    """
    rules = tuple(map(read_rule, entries))
    # answers are kept by id: of two alike one would answer for the other
    twice = [id for id, times in Counter(rule.id for rule in rules).items() if times > 1]
    if twice:
        raise ValueError(f"more than one rule is called {', '.join(twice)}")
    return rules


NEEDED = ("id", "when", "text", "citation", "as_of", "evidence", "about", "severity")


def check_names(entry: Mapping[str, object]) -> None:
    """
    Refuse an entry that lacks what every rule says, or that says what none does.

    >>> check_names(dict.fromkeys(NEEDED[1:], ""))
    Traceback (most recent call last):
        ...
    ValueError: id is missing
    """
    missing = [name for name in NEEDED if name not in entry]
    if missing:
        raise ValueError(f"{', '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing")
    unknown = entry.keys() - {*NEEDED, "measure"}
    if unknown:
        raise ValueError(f"nothing is called {', '.join(sorted(unknown))}")


def words_of(name: str, given: object) -> str:
    """
    What was given, where it is words; else ValueError.

    >>> words_of("text", "Ask the depot.")
    'Ask the depot.'
    """
    if not isinstance(given, str) or not given.strip():
        raise ValueError(f"{name} must be words, not {given!r}")
    return given


def date_of(given: object) -> date:
    """
    >>> date_of("2026-01-12")
    datetime.date(2026, 1, 12)
    """
    try:
        return given if isinstance(given, date) else date.fromisoformat(str(given))
    except ValueError:
        raise ValueError(f"a date must be written 2026-01-12, not {given!r}") from None


def one_of(name: str, given: object, words: Sequence[str]) -> str:
    """
    What was given, where it is one of the words; else ValueError.

    >>> one_of("about", "fire", ABOUT)
    'fire'
    """
    if given not in words:
        raise ValueError(f"{name} must be one of {', '.join(words)}, not {given!r}")
    return str(given)


def shipped_rules(name: str) -> RuleSet:
    """
    A set of rules that comes with the book, by the name of its file.

    >>> shipped_rules("generic").id
    'generic'
    """
    tables = data_files.read(f"rules/{name}")
    described = tables["set"] | {"regions": frozenset(tables["set"].get("regions", ()))}
    return RuleSet(**described, rules=read_rules(tables["rule"]))


SHIPPED: Mapping[str, RuleSet] = MappingProxyType(
    {name: shipped_rules(name) for name in ("generic", "us-federal", "eu", "gb")}
)
GENERIC = SHIPPED["generic"]
