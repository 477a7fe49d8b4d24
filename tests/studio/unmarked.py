"""What of a page reads as it would in English, when the book speaks the invented language."""

import re
import sqlite3
from collections.abc import Iterable
from pathlib import Path

from django.apps import apps
from django.db import models

from chemistry.units import UNITS
from inventory.models import Entry

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
# what an app for codes reads, drawn anew on each visit, and what the demo's supplier says on a sheet
KEPT = re.compile(r"otpauth://\S+|\b[A-Z2-7]{4}(?: [A-Z2-7]{4})+\b|Contains a preservative\. May produce[^.]+\.")
# names, formats and units that are the same in every language
SAME_EVERYWHERE = {
    *("Mordant", "MORDANT_URL", "http", "CSV", "PDF", "PIN", "QR", "CAS", "GHS", "EUR", "USD", "GBP", "pH", "SWG"),
    *("kg", "mg", "mL", "cL", "dL", "cm", "mm", "µm", "cm²", "dm²", "dm³", "Ah", "mol", "Bé", "min", "ppm", "kWh"),
    *("EUH", "US", "SG", "in²"),
    *("mil", "gal", "qt", "pt", "lb", "oz", "fl", "ga"),
}
SAME_EVERYWHERE |= {word for kinds in UNITS.values() for unit in kinds for word in WORD.findall(unit.name)}


def typed_by_people(folder: Path) -> re.Pattern[str]:
    """What stands in the book as somebody wrote it; sentences of the book itself are none of it."""
    found = {str(folder)}
    with sqlite3.connect(folder / "mordant.sqlite3") as book:
        for model in apps.get_models():
            for field in model._meta.local_concrete_fields:
                is_typed = isinstance(field, models.CharField | models.TextField) and not field.choices
                if is_typed and not (model is Entry and field.name in ("kind", "subject")):
                    rows = book.execute(f'SELECT DISTINCT "{field.column}" FROM "{model._meta.db_table}"')
                    found |= {
                        line.strip() for (text,) in rows if text for line in str(text).splitlines() if line.strip()
                    }
    return re.compile("|".join(rf"(?<!\w){re.escape(words)}(?!\w)" for words in sorted(found, key=len, reverse=True)))


def unmarked(texts: Iterable[str], typed: re.Pattern[str]) -> list[str]:
    """
    The words that stand in no brackets, typed ones and those of all languages left out.

    >>> unmarked(["⟦Íñ ", "⟦ťĥéé ťááñķ⟧", "⟧: about 5 g: Tray"], re.compile("Tray"))
    ['about']
    """
    depth, outside = 0, []
    for sign in "\n".join(texts):
        depth += (sign == "⟦") - (sign == "⟧")
        outside.append(" " if depth or sign == "⟧" else sign)
    rest = typed.sub(
        " ", KEPT.sub(" ", " ".join("".join(outside).split()))
    )  # a paper breaks a name where its line ends
    return [word for word in WORD.findall(rest) if word not in SAME_EVERYWHERE and not ROMAN.fullmatch(word)]
