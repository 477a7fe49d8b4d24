"""
How everything on file is known: each line of data/*.toml that says by its grade whether it was read or is recalled.

Whatever names a source names a document of data/documents.toml, which has its edition and where it was looked for.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from types import MappingProxyType
from typing import Any

from chemistry import data_files
from chemistry.sentences import SEMICOLON, Sentence, strung

RECALLED = "from memory"
GRADES = ("read", "secondary", "computed", "ours", "common practice", RECALLED)
# in the order in which a wrong line could hurt; a file that is not named here comes after them under its own name
NAMES = MappingProxyType(
    {
        "room": Sentence("Wall sheet and first aid"),
        "advice": Sentence("What to do at a bench"),
        "articles": Sentence("What is said of a thing"),
        "metals": Sentence("Metals that a copper bath eats"),
        "substances": Sentence("Facts of substances"),
        "classes": Sentence("What a label says of a class"),
        "statements": Sentence("Words of the statements"),
        "labels": Sentence("What goes before what on a label"),
        "limits": Sentence("From how much on a mixture has a class"),
        "storage": Sentence("What is kept apart, how much may stand"),
        "streams": Sentence("Kinds of waste"),
        "treatment": Sentence("Treatment"),
        "rules/us-federal": Sentence("Rules: United States"),
        "rules/eu": Sentence("Rules: European Union"),
        "rules/gb": Sentence("Rules: Great Britain"),
        "rules/generic": Sentence("Rules: everywhere"),
        "sewer_limits": Sentence("Sewer limits as examples"),
    }
)
FILES: Mapping[str, str] = MappingProxyType(
    NAMES
    | {
        file: file.replace("_", " ").capitalize()
        for path in sorted(data_files.DATA.rglob("*.toml"))
        for file in [path.relative_to(data_files.DATA).with_suffix("").as_posix()]
        if file not in NAMES
    }
)
WORDS = ("text", "why", "says", "v", "p_codes", "what", "where")  # by which name a line says what it says
YES, NO, NONE = Sentence("yes"), Sentence("no"), Sentence("none")
ABOVE = Sentence("above every category")  # of an estimate of toxicity
COMMA = Sentence("%(row)s, %(next)s")
HOW_KNOWN = ("source", "grade", "evidence", data_files.LOOKED_FOR)
# ways to a line that tell nobody where it is
SHELVES = frozenset(
    {"sections", "substances", "hazards", "rules", "rule", "lines", "says", "class", "limit", "warnings"}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceDocument:
    """A document, its edition, how it is known, and how it was looked for."""

    name: str
    title: str
    edition: str
    known: str
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceEntry:
    """
    One line on file and how it is known.

    place: where in its file. says: its words or its figure.
    not_found_on: when this very line was looked for in what it names, and not found; `looked_for` in its file.
    """

    file: str
    place: str
    says: str
    source: str
    grade: str
    not_found_on: date | None = None

    @property
    def is_recalled(self) -> bool:
        return self.grade == RECALLED

    @property
    def documents(self) -> tuple[SourceDocument, ...]:
        return documents_named(self.source)

    @property
    def editions(self) -> str:
        """Of each document it names."""
        with_edition = Sentence("%(title)s, %(edition)s")
        told = (with_edition % {"title": each.title, "edition": each.edition} for each in self.documents)
        return strung(told, SEMICOLON)

    @property
    def looked_for(self) -> str:
        """How each document was looked for, and when this line was, in vain."""
        in_vain = Sentence("this line: not found on %(day)s") % {"day": self.not_found_on}
        found = [in_vain] if self.not_found_on else []
        looked = dict.fromkeys([*found, *(each.found for each in self.documents)])
        return strung(looked, SEMICOLON) or Sentence("names no document")


REGISTER = data_files.read("documents")
LOOKED_UP: date = REGISTER["looked_up"]
DOCUMENTS: Mapping[str, SourceDocument] = MappingProxyType(
    {name: SourceDocument(name=name, **entry) for name, entry in REGISTER["documents"].items()}
)
# the longest first, or a card of 2001 would pass for the present one
NAMED = re.compile("|".join(map(re.escape, sorted(DOCUMENTS, key=len, reverse=True))))


def documents_named(source: str) -> tuple[SourceDocument, ...]:
    """
    >>> [each.edition for each in documents_named("ICSC 1416: goggles; ours")]
    ['November 2023']
    """
    return tuple(DOCUMENTS[name] for name in dict.fromkeys(NAMED.findall(source)))


@cache
def entries() -> tuple[EvidenceEntry, ...]:
    """
    Every line of every file, in the order of FILES.

    >>> sum(entry.grade not in GRADES for entry in entries())
    0
    """
    return tuple(entry for file in FILES for entry in entries_of(file))


def entries_of(file: str) -> Iterator[EvidenceEntry]:
    """
    The lines of one file; what names no source of its own has that of its file.

    >>> all(entry.file == "storage" for entry in entries_of("storage"))
    True
    """
    table = data_files.read(file, decimals=str, marked=True)
    sources = table.get("sources", {})
    for path, line in graded_lines(table, sources):
        source = sources[line["source"]] if line.get("source") in sources else line
        named = source.get("title") if source is not line else line.get("source") or line.get("citation")
        yield EvidenceEntry(
            file=file,
            place=" · ".join(name.replace("_", " ") for name in path if name not in SHELVES),
            says=words_of(line),
            source=named or REGISTER["files"].get(file, ""),
            grade=source.get("grade") or source["evidence"],
            not_found_on=line.get(data_files.LOOKED_FOR) or source.get(data_files.LOOKED_FOR),
        )


def graded_lines(
    table: Any, sources: Mapping[str, Any], path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], Mapping[str, Any]]]:
    """
    Every table that has a grade, or a source of the file's own list, with the way to it.

    >>> [path for path, _ in graded_lines({"limit": [{"percent": 3, "grade": "read"}]}, {})]
    [('limit', '1')]
    """
    if isinstance(table, list):
        table = {str(number): inner for number, inner in enumerate(table, start=1)}
    if not isinstance(table, dict) or path == ("sources",):
        return
    if "grade" in table or "evidence" in table or ("v" in table and table.get("source") in sources):
        yield (*path[:-1], table.get("id", path[-1])), table
        return
    for name, inner in table.items():
        yield from graded_lines(inner, sources, (*path, name))


def words_of(line: Mapping[str, Any]) -> str:
    """
    What a line says: its sentence or its figure, else all of it. What says something to people is a Sentence; names,
    codes and figures stand as in their file.

    >>> words_of({"v": [80, 90]}), words_of({"copper": 25, "grade": "read"})
    ('80, 90', 'copper 25')
    >>> words_of({"v": [["eye_irrit_2", 50]]}), words_of({"v": True}), words_of({"v": 1}), words_of({"v": "above"})
    ('eye_irrit_2 50', 'yes', '1', 'above every category')
    >>> words_of({"gives": "stot_se_2", "of": {"stot_se_2": 1}, "adds_up": False, "grade": "read"})
    'gives stot_se_2, of (stot_se_2 1), adds_up false'
    """
    said = next((line[name] for name in WORDS if name in line), line)
    if isinstance(said, Mapping):
        said = [f"{name} {as_on_file(value)}" for name, value in said.items() if name not in HOW_KNOWN]
    if isinstance(said, list):
        parts = [as_on_file(each) for each in said]
        to_people = any(isinstance(each, Sentence) for each in parts)
        return strung(parts, COMMA) if to_people else ", ".join(parts) or NONE
    if isinstance(said, bool):
        return YES if said else NO
    return ABOVE if said == "above" else as_on_file(said)


def as_on_file(value: Any) -> str:
    """
    >>> as_on_file(["eye_irrit_2", 50]), as_on_file({"eye_dam_1": 3}), as_on_file(True)
    ('eye_irrit_2 50', '(eye_dam_1 3)', 'true')
    """
    if isinstance(value, Mapping):
        return f"({', '.join(f'{name} {as_on_file(below)}' for name, below in value.items())})"
    if isinstance(value, list):
        return " ".join(map(as_on_file, value))
    return str(value).lower() if isinstance(value, bool) else str(value)
