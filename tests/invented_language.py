"""
A language that nobody speaks: every marked sentence in brackets, accented and longer than in English.

`.venv/bin/python -m tests.invented_language FOLDER` writes its catalogue into the `locale` of a data folder; the book
speaks it with `MORDANT_LANGUAGE=qaa`. A word that reads as before was never marked.
"""

import ast
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

import django
from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from django.utils.translation import templatize

from chemistry import data_files
from chemistry.hazards import labels
from chemistry.units import SEVERAL, UNITS

ROOT = Path(__file__).resolve().parent.parent
LANGUAGE = "qaa"  # of those that the standard keeps for local use
MARKS = {
    **dict.fromkeys(["_", "gettext", "gettext_lazy", "gettext_noop", "EntryKind"]),
    **dict.fromkeys(["ngettext", "ngettext_lazy"], (1, 2)),
    **dict.fromkeys(["pgettext", "pgettext_lazy"], ((1, "c"), 2)),
    **dict.fromkeys(["npgettext", "npgettext_lazy"], ((1, "c"), 2, 3)),
    "Sentence": {1: (1,), 2: (1, 2), 3: (1, 2)},  # a comma at the end counts
}
DECLARING = {
    "Figure",
    "Input",
    "Working",
    "formula",
    "measured",
    "working",
    "workings",
}  # with plain text: see `translated_text`
ACCENTED = str.maketrans("aceghijklnorstuwyzACDEGHIJKLNORSTUWYZ", "áçéğĥíĵķļñóŕšťúŵýžÁÇĎÉĞĤÍĴĶĻÑÓŔŠŤÚŴÝŽ")
KEPT = re.compile(r"%\(\w+\)[.\d]*[a-z]|%%|%[sd]|\{\w*\}|<[^>]+>|&\w+;")
INDENT = re.compile(r"^\s+", re.MULTILINE)
LETTERS_OF_A_DATE = "date format"


def invented(sentence: str) -> str:
    """
    >>> invented("Only %(amount)s is in <b>%(jar)s</b>.")
    '⟦Óñļýý %(amount)s ííš ííñ <b>%(jar)s</b>.⟧'
    """
    longer = (re.sub("([aeiouy])", r"\1\1", part).translate(ACCENTED) for part in KEPT.split(sentence))
    kept = [*KEPT.findall(sentence), ""]
    return f"⟦{''.join(part + place for part, place in zip(longer, kept, strict=True))}⟧"


def marked() -> Iterator[tuple[str | tuple[str, ...], str | None]]:
    """Every sentence that a template or a module marks, with its context; a plural's two forms together."""
    for folder, pattern in (("templates", "*.*"), ("studio", "*.py"), ("inventory", "*.py"), ("chemistry", "*.py")):
        for path in sorted((ROOT / folder).rglob(pattern)):
            if path.is_file():
                text = path.read_text(encoding="utf-8")
                if folder == "templates":
                    text = INDENT.sub("", templatize(text))  # to be read as Python, which a tag is set in more than
                found = extract("python", io.BytesIO(text.encode()), keywords=MARKS)
                yield from ((words, context) for _, words, _, context in found)


def of_libraries() -> Iterator[tuple[str | tuple[str, ...], str | None]]:
    """What Django says by itself: names of months, refusals of its forms."""
    here = Path(django.__file__).parent
    for folder in (here / "conf", here / "contrib" / "auth"):
        with (folder / "locale" / "en" / "LC_MESSAGES" / "django.po").open("rb") as file:
            yield from ((message.id, message.context) for message in read_po(file) if message.id)


def of_the_sums() -> Iterator[str]:
    """What the sums say as data: tables, words of statements, amounts, and whatever a working is declared with."""
    yield from data_files.sentences()
    yield from map(labels.as_in_america, {each.text for each in labels.STATEMENTS.values()})
    for folder in ("chemistry", "inventory", "studio"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and ast.unparse(node.func).split(".")[-1] in DECLARING:
                    yield from (
                        each.value
                        for each in ast.walk(node)
                        if isinstance(each, ast.Constant) and isinstance(each.value, str) and each.value
                    )


def write(file: BinaryIO) -> int:
    """The catalogue as gettext reads it; how many sentences there are in it."""
    catalog = Catalog(locale="en")
    amounts = ((unit.amount.text, unit.amount.others) for units in UNITS.values() for unit in units)
    labels_of_units = [(each.text, each.others) for each in SEVERAL.values()]
    of_sums = [
        (words, None)
        for words in (*of_the_sums(), *labels_of_units, *(pair if pair[1] else pair[0] for pair in amounts))
    ]
    for words, context in (*of_libraries(), *marked(), *of_sums):
        forms = (words,) if isinstance(words, str) else words
        said = forms if context == LETTERS_OF_A_DATE else tuple(map(invented, forms))
        catalog.add(words, said[0] if isinstance(words, str) else said, context=context)
    write_mo(file, catalog)
    return len(catalog)


def teach(data: Path) -> int:
    """Put the language where the book of a data folder looks for it."""
    folder = data / "locale" / LANGUAGE / "LC_MESSAGES"
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "django.mo").open("wb") as file:
        return write(file)


if __name__ == "__main__":
    from django.conf import settings

    settings.configure()
    print(f"{teach(Path(sys.argv[1]))} sentences")
