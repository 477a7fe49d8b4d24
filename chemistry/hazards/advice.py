"""What to do at a bench with what a label warns of: first aid, spills, fire, gear, storage, waste. data/advice.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.classes import check_classes
from chemistry.hazards.storage import GROUPS, with_kin


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchAdvice:
    """One piece of advice; grade tells how its source was followed."""

    text: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceRule:
    """
    Advice, and for what it holds: any of the classes or groups; without either, for everything.

    also: classes and groups that must all be there. unless: those for which another rule says it better.
    """

    says: tuple[BenchAdvice, ...]
    classes: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    also: frozenset[str] = frozenset()
    unless: frozenset[str] = frozenset()
    unknown: bool = False

    def holds(self, words: frozenset[str], is_unknown: bool) -> bool:
        """words: the classes and groups of the thing."""
        # that another rule speaks of what is known says nothing of what is not
        if self.unknown and is_unknown:
            return True
        if self.unless & words:
            return False
        any_of = self.classes | self.groups
        return self.also <= words and (bool(any_of & words) or not (any_of or self.unknown))


@dataclass(frozen=True, slots=True, kw_only=True)
class AdviceSection:
    title: str
    rules: tuple[AdviceRule, ...]
    takes_all: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSection:
    """What everybody in a room where copper is etched must know before they begin. data/room.toml"""

    title: str
    lines: tuple[BenchAdvice, ...]


SECTIONS: Mapping[str, AdviceSection] = MappingProxyType(
    {
        id: AdviceSection(
            title=section["title"],
            rules=tuple(
                AdviceRule(
                    says=tuple(BenchAdvice(**said) for said in rule["says"]),
                    unknown=rule.get("unknown", False),
                    **{name: frozenset(rule.get(name, ())) for name in ("classes", "groups", "also", "unless")},
                )
                for rule in section["rules"]
            ),
            takes_all=section["takes"] == "all",
        )
        for id, section in data_files.read("advice")["sections"].items()
    }
)
HANDLING = frozenset({"bath", "powder", "drying oil", "wax", "burning dust"})  # beside the storage groups
RULES = tuple(rule for section in SECTIONS.values() for rule in section.rules)
# a class misspelt in the file would silence its advice for good
check_classes(id for rule in RULES for id in rule.classes)
check_classes(
    word for rule in RULES for word in rule.groups | rule.also | rule.unless if word not in {*GROUPS, *HANDLING}
)
ARTICLES = data_files.read("articles")
ARTICLE_BASIS: str = ARTICLES["basis"]
ARTICLE = RoomSection(title=ARTICLES["title"], lines=tuple(BenchAdvice(**line) for line in ARTICLES["lines"]))


def advice(
    section: str, classes: Iterable[str], groups: Iterable[str], *, is_unknown: bool = False
) -> tuple[BenchAdvice, ...]:
    """
    What a section of a summary says.

    groups: storage groups of data/storage.toml, and words of HANDLING where they apply.
    is_unknown: nothing is known of the hazards, so the most careful advice holds.

    >>> [said.text for said in advice("fire", [], ["bath"])]
    ['Does not burn. Use what suits the fire around it.', 'Keep run-off out of drains.']
    """
    words = with_kin(groups).union(classes)
    asked = SECTIONS[section]
    # where one rule speaks alone the file has the worst first, so the most careful one is heard
    found = [rule for rule in asked.rules if rule.holds(words, is_unknown)]
    return tuple(said for rule in (found if asked.takes_all else found[:1]) for said in rule.says)


ROOM: Mapping[str, RoomSection] = MappingProxyType(
    {
        id: RoomSection(
            title=entry["title"],
            # a sentence that stands with a class is not told a second time
            lines=tuple(BenchAdvice(**line) for line in entry.get("lines", ()))
            or advice(id, entry["as_of_classes"], ()),
        )
        for id, entry in data_files.read("room")["sections"].items()
    }
)
