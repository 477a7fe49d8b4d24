"""What to do at a bench with what a label warns of: first aid, spills, fire, gear, storage, waste. data/advice.toml"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from chemistry import data_files
from chemistry.hazards.classes import check_classes


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One piece of advice; grade tells how its source was followed."""

    text: str
    source: str
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """
    Advice, and for what it holds: any of the classes or groups; without either, for everything.

    unless: groups for which another rule says it better.
    """

    advice: Advice
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
class Section:
    title: str
    rules: tuple[Rule, ...]
    takes_all: bool


def _rule(entry: dict[str, Any]) -> Rule:
    advice = Advice(text=entry["text"], source=entry["source"], grade=entry["grade"])
    classes, groups = frozenset(entry.get("classes", ())), frozenset(entry.get("groups", ()))
    check_classes(classes)
    unless = frozenset(entry.get("unless", ()))
    return Rule(advice=advice, classes=classes, groups=groups, unless=unless, unknown=entry.get("unknown", False))


SECTIONS: Mapping[str, Section] = MappingProxyType(
    {
        id: Section(title=entry["title"], rules=tuple(map(_rule, entry["rules"])), takes_all=entry["takes"] == "all")
        for id, entry in data_files.read("advice")["sections"].items()
    }
)


def advice(
    section: str, classes: Iterable[str], groups: Iterable[str], *, is_unknown: bool = False
) -> tuple[Advice, ...]:
    """
    What a section of a summary says.

    groups: storage groups of data/storage.toml, and "bath", "powder", "drying oil" where they apply.
    is_unknown: nothing is known of the hazards, so the most careful advice holds.

    >>> [said.text for said in advice("fire", [], ["bath"])]
    ['Does not burn. Use what suits the fire around it; keep run-off out of drains.']
    """
    known, stored = frozenset(classes), frozenset(groups)
    asked = SECTIONS[section]
    found = tuple(rule.advice for rule in asked.rules if rule.holds(known, stored, is_unknown))
    return found if asked.takes_all else found[:1]
