"""Sentences of the sums in the language of the studio."""

from typing import Any

from django.utils.functional import lazy
from django.utils.translation import gettext, ngettext

from chemistry.sentences import Sentence


def translated(shown: Any) -> Any:
    """
    What is shown, if it is a Sentence or reads as one, in the language of the studio; whatever else as it is.

    >>> translated(Sentence("%(litres)s L") % {"litres": 2}), translated("C7"), translated(None)
    ('2 L', 'C7', None)
    """
    sentence = str(shown)
    if not isinstance(sentence, Sentence):
        return shown
    return sentence.said(lambda text, others, count: ngettext(text, others, count) if others else gettext(text))


def translated_text(text: str) -> str:
    """What the sums declare as plain text, such as the formula of a working and the names of its inputs."""
    return str(translated(text if isinstance(text, Sentence) else Sentence(text))) if text else ""


translated_lazy = lazy(translated, str)
