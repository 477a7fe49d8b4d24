"""Tables copied from named published sources, for the tests to compare with."""

import tomllib
from pathlib import Path
from typing import Any


def read(name: str) -> dict[str, Any]:
    return tomllib.loads((Path(__file__).parent / f"{name}.toml").read_text(encoding="utf-8"))
