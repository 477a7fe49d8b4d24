"""What of a page reads as it would in English, when the book speaks the invented language."""

import re
import sqlite3
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from zoneinfo import available_timezones

from django.apps import apps
from django.db import models

from chemistry import data_files, evidence
from chemistry.sentences import Sentence
from chemistry.units import UNITS
from inventory import headings
from inventory.models import Entry
from studio.workshop.regions import STATES

# everything that is seen or read aloud, in the order of the page
SHOWN = """() => {
    const texts = [document.title]
    const seen = document.createTreeWalker(document.body, NodeFilter.SHOW_ELEMENT | NodeFilter.SHOW_TEXT)
    for (let node = seen.nextNode(); node; node = seen.nextNode()) {
        if (node.nodeType === Node.TEXT_NODE) {
            if (!node.parentElement.closest("script, style")) texts.push(node.data)
        } else {
            for (const name of ["aria-label", "alt", "data-label", "placeholder", "title"]) {
                if (node.hasAttribute(name)) texts.push(node.getAttribute(name))
            }
        }
    }
    return texts
}"""
WORD = re.compile(r"[^\W\d_]{2,}")
ROMAN = re.compile("[IVX]+")  # a state of a plate
# what an app for codes reads, drawn anew on each visit, what the demo's supplier says on a sheet, addresses of the book
KEPT = re.compile(
    r"otpauth://\S+|\b[A-Z2-7]{4}(?: [A-Z2-7]{4}){7}\b|Contains a preservative\. May produce[^.]+\.|\S*/safety/open/\S+"
    r"|\S*/people/come-in/\s?[\w-]+(?:\s[\w-]+)?/"  # which a paper breaks where it must
)
# names, formats and units that are the same in every language
SAME_EVERYWHERE = {
    *("Mordant", "MORDANT_URL", "http", "CSV", "PDF", "PIN", "QR", "CAS", "GHS", "EUR", "USD", "GBP", "pH", "SWG"),
    *("kg", "mg", "mL", "cL", "dL", "cm", "mm", "µm", "cm²", "dm²", "dm³", "Ah", "mol", "Bé", "min", "ppm", "kWh"),
    *("EUH", "US", "SG", "in²"),
    *("mil", "gal", "qt", "pt", "lb", "oz", "fl", "ga"),
}
# pieces and sheets are words; what is weighed, poured or measured is not
SAME_EVERYWHERE |= {
    word
    for dimension, kinds in UNITS.items()
    if dimension != "count"
    for unit in kinds
    for word in WORD.findall(f"{unit.name} {unit.label}")
}

CODES = {"app_label", "codename", "field", "kind", "model", "shown_unit", "stream", "vessel"}


def typed_by_people(folder: Path) -> re.Pattern[str]:
    """What stands in the book as somebody wrote it; sentences of the book itself are none of it."""
    found = {str(folder)}
    with sqlite3.connect(folder / "mordant.sqlite3") as book:
        for model in apps.get_models():
            for field in model._meta.local_concrete_fields:
                is_typed = isinstance(field, models.CharField | models.TextField) and not field.choices
                if is_typed and field.name not in CODES and not (model is Entry and field.name == "subject"):
                    rows = book.execute(f'SELECT DISTINCT "{field.column}" FROM "{model._meta.db_table}"')
                    found |= {
                        line.strip() for (text,) in rows if text for line in str(text).splitlines() if line.strip()
                    }
    return any_of(found)


def any_of(names: Iterable[str]) -> re.Pattern[str]:
    """Any of these names, broken as a paper may: at a space, and after a hyphen that is then left out."""
    broken = (re.escape(each).replace(r"\ ", r"\W+").replace(r"\-", r"\W*") for each in longest_first(names))
    return re.compile("|".join(rf"(?<!\w){each}(?![^\W\dA-Z_])" for each in broken))


def longest_first(names: Iterable[str]) -> list[str]:
    return sorted(names, key=len, reverse=True)


@cache
def names_on(path: str) -> re.Pattern[str] | None:
    """
    What is called so in every language, on the one page that lists it: states, cities of the clocks, headings of lists
    in whatever language, where a line stands in our own files, and a line that is all codes and figures.
    """
    if path == "/studio/change/":
        cities = {city.replace("_", " ") for zone in available_timezones() for city in zone.split("/")}
        return any_of({*cities, *STATES, *map(str, STATES.values())})
    if path == "/shelf/import/":
        return any_of({heading for known in headings.WORDS.values() for heading in known.split("|")})
    if path.startswith("/safety/evidence/"):
        lines = evidence.entries()
        in_code = {line.says for line in lines if not isinstance(line.says, Sentence) and is_in_code(line.says)}
        return any_of({line.place for line in lines} | in_code)
    return None


@cache
def codes() -> frozenset[str]:
    """Classes of hazard, regions whose rules differ, and the names by which our files say which is which."""
    names: set[str] = set()
    for name in evidence.FILES:
        left: list[object] = [data_files.read(name)]
        while left:
            value = left.pop()
            if isinstance(value, dict):
                names |= value.keys()
            left.extend(value.values() if isinstance(value, dict) else value if isinstance(value, list) else ())
    return frozenset(names | {"UN", "EU", "GB", "US", "true", "false"})


def is_in_code(line: str) -> bool:
    """
    >>> is_in_code("gives eye_dam_1, of (skin_corr_1 1), adds_up false, regimes UN"), is_in_code("acids: heat")
    (True, False)
    """
    return all(word in codes() or not WORD.search(word) for word in re.split(r"[\s,()]+", line))


def without(text: str, names: Iterable[re.Pattern[str]]) -> str:
    for each in names:
        text = each.sub(" ", text)
    return " ".join(text.split())


def unmarked(texts: Iterable[str], typed: re.Pattern[str], path: str = "") -> list[str]:
    """
    The words that stand in no brackets, typed ones and those of all languages left out; path: of the page they are on.

    >>> unmarked(["⟦Íñ ", "⟦ťĥéé ťááñķ⟧", "⟧: about 5 g: Tray"], re.compile("Tray"))
    ['about']
    """
    depth, outside = 0, []
    for sign in "\n".join(texts):
        depth += (sign == "⟦") - (sign == "⟧")
        outside.append(" " if depth or sign == "⟧" else sign)
    rest = KEPT.sub(" ", " ".join("".join(outside).split()))
    kept = [typed, *filter(None, [names_on(path)])]
    # a name may hold a part of another one, whichever is looked for first
    rest = min((without(rest, order) for order in (kept, kept[::-1])), key=len)
    return [word for word in WORD.findall(rest) if word not in SAME_EVERYWHERE and not ROMAN.fullmatch(word)]
