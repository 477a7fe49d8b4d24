"""What the sentences, classes, limits and rules of the book rest on, for whoever checks what is only recalled."""

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from chemistry.evidence import FILES, EvidenceEntry, SourceDocument, entries
from chemistry.sentences import Sentence

CSV_HEAD = ("Where", "Place in it", "What it says", "Source", "Editions", "How it is known", "How it was looked for")
# what was read first, what is recalled last
WORDS = {
    "read": Sentence("read"),
    "secondary": Sentence("quoted by others"),
    "computed": Sentence("worked out"),
    "ours": Sentence("ours"),
    "common practice": Sentence("common practice"),
    "from memory": Sentence("recalled"),
}


class GradesOfFile(NamedTuple):
    """How many lines of a file are known in which way: pairs of how many and the word for it."""

    name: str
    cells: Sequence[tuple[int, str]]


class RecalledLines(NamedTuple):
    """What is recalled of one document, so that it can be checked with that document open."""

    document: SourceDocument | None
    lines: Sequence[EvidenceEntry]


def grades_of_files() -> list[GradesOfFile]:
    counted = Counter((entry.file, entry.grade) for entry in entries())
    return [
        GradesOfFile(name, [(counted[file, grade], word) for grade, word in WORDS.items()])
        for file, name in FILES.items()
        if any(counted[file, grade] for grade in WORDS)
    ]


def recalled() -> list[RecalledLines]:
    """By document, the one first whose lines could hurt first."""
    groups: dict[SourceDocument | None, list[EvidenceEntry]] = {}
    for entry in entries():
        if entry.is_recalled:
            groups.setdefault(entry.documents[0] if entry.documents else None, []).append(entry)
    return [RecalledLines(*group) for group in groups.items()]


def rows() -> Iterator[tuple[str, ...]]:
    """Every line, for a spreadsheet; filter its sixth column by "recalled"."""
    for entry in entries():
        yield (
            FILES[entry.file],
            entry.place,
            entry.says,
            entry.source,
            entry.editions,
            WORDS[entry.grade],
            entry.looked_for,
        )
