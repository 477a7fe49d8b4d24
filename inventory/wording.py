"""Sentences of the sums in the language of the studio."""

from functools import lru_cache
from typing import Any

from django.utils.functional import lazy
from django.utils.translation import gettext, ngettext

from chemistry import locale
from chemistry.sentences import Sentence


def translated(shown: Any) -> Any:
    """
    What is shown, if it is a Sentence or reads as one, in the studio's language and marks; whatever else as it is.

    >>> translated(Sentence("%(litres)s L") % {"litres": 2}), translated("C7"), translated(None)
    ('2 L', 'C7', None)
    """
    sentence = str(shown)
    if not isinstance(sentence, Sentence):
        return shown
    # before its places are filled: what stands in them is written as it should be, or is what somebody typed
    return sentence.said(said_here)


def said_here(text: str, others: str, count: Any) -> str:
    return _said(text, others, plural_count(count) if others else 1, locale.current().numbers)


@lru_cache(maxsize=20_000)
def _said(text: str, others: str, count: int, _numbers: str) -> str:
    """A studio speaks one language for as long as its server runs; how it writes numbers may change."""
    return locale.in_prose(ngettext(text, others, count) if others else gettext(text))


def plural_count(number: float) -> int:
    """
    What chooses the form of a word after a number, which languages know for whole ones alone.

    >>> plural_count(1.0), plural_count(0.8)
    (1, 2)
    """
    return int(number) if number == int(number) else 2


COUNTED_UNITS = {"days": Sentence("day", "days"), "months": Sentence("month", "months")}


def unit_after(unit: str, number: str) -> str:
    """
    The unit of a figure after its number as it is read.

    >>> unit_after("days", "1"), unit_after("days", "1.2"), unit_after("g/L", "1")
    ('day', 'days', 'g/L')
    """
    counted = COUNTED_UNITS.get(str(unit))
    return translated(counted % {"count": 1 if number == "1" else 2}) if counted else translated_text(unit)


def translated_text(text: str) -> str:
    """What the sums declare as plain text, such as the formula of a working and the names of its inputs."""
    return str(translated(text if isinstance(text, Sentence) else Sentence(text))) if text else ""


translated_lazy = lazy(translated, str)
