"""What to do at a bench with what a label warns of: first aid, spills, fire, gear, storage, waste. data/advice.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from chemistry import data_files
from chemistry.hazards.classes import check_classes
from chemistry.hazards.storage import with_kin


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

    unless: groups for which another rule says it better.
    """

    advice: BenchAdvice
    classes: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    unless: frozenset[str] = frozenset()
    unknown: bool = False

    def holds(self, classes: frozenset[str], groups: frozenset[str], is_unknown: bool) -> bool:
        if self.unless & groups:
            return False
        if self.unknown and is_unknown:
            return True
        return bool(self.classes & classes or self.groups & groups) or not (self.classes or self.groups or self.unknown)


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
                    advice=BenchAdvice(text=rule["text"], source=rule["source"], grade=rule["grade"]),
                    classes=frozenset(rule.get("classes", ())),
                    groups=frozenset(rule.get("groups", ())),
                    unless=frozenset(rule.get("unless", ())),
                    unknown=rule.get("unknown", False),
                )
                for rule in section["rules"]
            ),
            takes_all=section["takes"] == "all",
        )
        for id, section in data_files.read("advice")["sections"].items()
    }
)
# a class misspelt in the file would silence its advice for good
check_classes(id for section in SECTIONS.values() for rule in section.rules for id in rule.classes)
ROOM: Mapping[str, RoomSection] = MappingProxyType(
    {
        id: RoomSection(title=entry["title"], lines=tuple(BenchAdvice(**line) for line in entry["lines"]))
        for id, entry in data_files.read("room")["sections"].items()
    }
)


def advice(
    section: str, classes: Iterable[str], groups: Iterable[str], *, is_unknown: bool = False
) -> tuple[BenchAdvice, ...]:
    """
    What a section of a summary says.

    groups: storage groups of data/storage.toml, and "bath", "powder", "drying oil" where they apply.
    is_unknown: nothing is known of the hazards, so the most careful advice holds.

    >>> [said.text for said in advice("fire", [], ["bath"])]
    ['Does not burn. Use what suits the fire around it; keep run-off out of drains.']
    """
    known, stored = frozenset(classes), with_kin(groups)
    asked = SECTIONS[section]
    # where one rule speaks alone the file has the worst first, so the most careful one is heard
    found = tuple(rule.advice for rule in asked.rules if rule.holds(known, stored, is_unknown))
    return found if asked.takes_all else found[:1]
