"""The tables of data/*.toml."""

import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent / "data"
# when a line was looked for in what it names, in vain; a mark for chemistry.evidence, and no fact
LOOKED_FOR = "looked_for"


def read(name: str, *, decimals: Callable[[str], Any] = Fraction, marked: bool = False) -> dict[str, Any]:
    """
    Return a table; its decimals are exact unless asked for otherwise, and marks of what was looked for are left out.

    >>> read("classes")["class"]["aq_acute_1"]["relevant_from_percent"]
    Fraction(1, 10)
    """
    table = tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"), parse_float=decimals)
    return table if marked else unmarked(table)


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
