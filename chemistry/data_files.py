"""The tables of data/*.toml."""

import re
import tomllib
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from chemistry.sentences import Sentence

DATA = Path(__file__).parent / "data"
# when a line was looked for in what it names, in vain; a mark for chemistry.evidence, and no fact
LOOKED_FOR = "looked_for"
# by these names a table says something to people
SAID = re.compile(
    "about|advice|appearance|ask|basis|choices|citation|edition|evidence|exposure_limits|files|first_choice|found"
    "|gloves|grade|hazard|keep_from|keeping|known|label|meaning|measure|name|never|pictograms|place|route|says|severity"
    "|signal_word|source|stands_in|text|title|treatment|unit|us_differs|what|where|why"
)


def read(name: str, *, decimals: Callable[[str], Any] = Fraction, marked: bool = False) -> dict[str, Any]:
    """
    Return a table; its decimals are exact unless asked for otherwise, what it says to people is Sentences, and marks of
    what was looked for are left out.

    >>> flammable = read("classes")["class"]["flam_liq_1"]
    >>> flammable["relevant_from_percent"], type(flammable["name"]).__name__, type(flammable["h_code"]).__name__
    (0, 'Sentence', 'str')
    """
    table = tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"), parse_float=decimals)
    told: dict[str, Any] = with_sentences(table)
    return told if marked else unmarked(told)


def with_sentences(value: Any, is_said: bool = False) -> Any:
    """
    What stands in a table, its words for people as Sentences; is_said: whether all of it is for people.

    >>> type(with_sentences({"title": ["Dust"]})["title"][0]).__name__
    'Sentence'
    """
    if isinstance(value, dict):
        return {key: with_sentences(below, is_said or bool(SAID.fullmatch(key))) for key, below in value.items()}
    if isinstance(value, list):
        return [with_sentences(below, is_said) for below in value]
    return Sentence(value) if is_said and isinstance(value, str) else value


def unmarked(table: Any) -> Any:
    """
    >>> unmarked({"line": [{"text": "Sweep it.", "looked_for": "2026-11-29"}]})
    {'line': [{'text': 'Sweep it.'}]}
    """
    if isinstance(table, list):
        return [unmarked(each) for each in table]
    if isinstance(table, dict):
        return {name: unmarked(each) for name, each in table.items() if name != LOOKED_FOR}
    return table


def sentences() -> Iterator[str]:
    """
    Every sentence of the tables, for whoever says them in another language.

    >>> "Keep run-off out of drains." in set(sentences())
    True
    """
    left: list[Any] = [read(str(path.relative_to(DATA).with_suffix(""))) for path in sorted(DATA.rglob("*.toml"))]
    while left:
        value = left.pop()
        if isinstance(value, dict | list):
            left.extend(value.values() if isinstance(value, dict) else value)
        elif isinstance(value, Sentence):
            yield value
