"""What asks for a hand: how every feature says it to the bench."""

from typing import NamedTuple


class StatusWord(NamedTuple):
    """A word and its hatch: fine, look or act."""

    level: str
    word: str


class ActionItem(NamedTuple):
    """How pressing (look or act), in a word and a sentence, and the button that answers it."""

    level: str
    word: str
    sentence: str
    label: str
    url: str
