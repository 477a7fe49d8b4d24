"""
Whole sentences with named places, in English, which whoever shows them may say in another language.

A Sentence reads, compares and sorts as the English it makes; what it was made from stays beside it. What somebody typed
is a plain string and stays as it is.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from chemistry.measured import digits

Say = Callable[[str, str, Any], str]


class Sentence(str):
    """
    An English sentence whose named places are filled by %; `others` is its text for a `count` other than one.

    >>> left = Sentence("%(litres)s L are left in %(where)s.") % {"litres": "2.5", "where": Sentence("the tank")}
    >>> left
    '2.5 L are left in the tank.'
    >>> left.said(lambda text, others, count: {"the tank": "der Wanne"}.get(text, "In %(where)s: %(litres)s L."))
    'In der Wanne: 2.5 L.'
    >>> [Sentence("1 bite", "%(count)s bites") % {"count": count} for count in (1, 2)]
    ['1 bite', '2 bites']
    """

    text: str
    others: str
    places: Mapping[str, object]

    def __new__(cls, text: str, others: str = "", places: Mapping[str, object] | None = None) -> "Sentence":
        chosen = others if others and places and places["count"] != 1 else text
        sentence = super().__new__(
            cls, chosen % {name: in_place(value) for name, value in places.items()} if places else chosen
        )
        sentence.text, sentence.others, sentence.places = text, others, places or {}
        return sentence

    def __mod__(self, places: Any) -> "Sentence":
        return Sentence(self.text, self.others, places)

    def __str__(self) -> str:
        return self  # with what it was made from, such as out of the error that holds it

    def said(self, say: Say) -> str:
        """The sentence in another language; say: a text, what it is for others than one, and their count -> text."""
        text = say(self.text, self.others, self.places.get("count"))
        return text % {name: in_place(value, say) for name, value in self.places.items()} if self.places else text


AND, OR = Sentence("%(row)s and %(next)s"), Sentence("%(row)s or %(next)s")
PLUS, MINUS = Sentence("%(row)s + %(next)s"), Sentence("%(row)s - %(next)s")
THEN, SEMICOLON = Sentence("%(row)s %(next)s"), Sentence("%(row)s; %(next)s")


def strung(parts: Iterable[str], link: Sentence) -> str:
    """
    Parts in a row, such as the sum of a formula or the sources of a figure; nothing of nothing.

    >>> strung(["water", "salt", "acid"], PLUS), strung([], OR)
    ('water + salt + acid', '')
    """
    row = [*parts]
    if len(row) < 2:
        return row[0] if row else ""
    # by halves: one in the other, two thousand deposits would be a sentence two thousand deep
    half = len(row) // 2
    return link % {"row": strung(row[:half], link), "next": strung(row[half:], link)}


def in_place(value: object, say: Say | None = None) -> object:
    """
    What stands in a place of a sentence: a list as its parts with commas, a Sentence as `say` says it, a number marked.

    >>> in_place(["zinc", "steel"]), in_place(2.5), in_place(2)
    ('zinc, steel', '2.5', 2)
    """
    if isinstance(value, list | tuple):
        return ", ".join(str(in_place(each, say)) for each in value)
    if isinstance(value, float):
        return digits(value)
    if isinstance(value, int):
        return value
    text = str(value)
    return text.said(say) if say and isinstance(text, Sentence) else text
