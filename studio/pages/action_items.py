"""What asks for a hand: how every feature says it to the bench."""

from typing import NamedTuple


class StatusWord(NamedTuple):
    """A word and its hatch: fine, look or act."""

    level: str
    word: str


class ActionItem(NamedTuple):
    """
    How pressing (look or act), in a word and a sentence, and the button that answers it.

    is_private: it names people or what befell them, so nothing but its word leaves the book in a mail.
    """

    level: str
    word: str
    sentence: str
    label: str
    url: str
    is_private: bool = False
