"""The tables of data/*.toml."""

import tomllib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent / "data"


def read(name: str, *, decimals: Callable[[str], Any] = Fraction) -> dict[str, Any]:
    """
    Return a table; its decimals are exact unless asked for otherwise.

    >>> read("classes")["class"]["aq_acute_1"]["relevant_from_percent"]
    Fraction(1, 10)
    """
    return tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"), parse_float=decimals)
