"""What a run of benchmarks measured, as one table: each figure beside its floor, which fails, and its goal."""

import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from studio.server import bootstrap

SYSTEM_PYTHON = getattr(sys, "_base_executable", sys.executable)


class Row(NamedTuple):
    what: str
    figure: float
    floor: float | None
    goal: float | None
    at_least: bool

    @property
    def is_past_the_floor(self) -> bool:
        if self.floor is None:
            return False
        return self.figure < self.floor if self.at_least else self.figure > self.floor

    def __str__(self) -> str:
        sign = "≥" if self.at_least else "≤"
        bars = [f"{sign} {bar:g}" if bar is not None else "" for bar in (self.floor, self.goal)]
        return f"{self.what:<72}{self.figure:>12,.3g}{bars[0]:>10}{bars[1]:>10}{'  !' * self.is_past_the_floor}"


class Table:
    """What one test measured; more is not judged before all of it is measured."""

    def __init__(self) -> None:
        self.rows: list[Row] = []

    def most(self, what: str, figure: float, floor: float | None = None, goal: float | None = None) -> None:
        """A figure that is good when it is small."""
        self.rows.append(Row(what, figure, floor, goal, at_least=False))

    def least(self, what: str, figure: float, floor: float | None = None, goal: float | None = None) -> None:
        """A figure that is good when it is large."""
        self.rows.append(Row(what, figure, floor, goal, at_least=True))


@pytest.fixture(scope="module")
def clone(tmp_path_factory) -> tuple[str, Path]:
    """The command of a fresh clone: what it starts has the libraries that people have, and none of the tests'."""
    folder = tmp_path_factory.mktemp("clone") / "mordant"
    subprocess.run(["git", "clone", "--quiet", bootstrap.ROOT, folder], check=True)
    return SYSTEM_PYTHON, folder / "manage.py"


ALL_ROWS = pytest.StashKey[list[Row]]()


@pytest.fixture
def table(request):
    mine = Table()
    yield mine
    request.config.stash.setdefault(ALL_ROWS, []).extend(mine.rows)
    assert [str(row) for row in mine.rows if row.is_past_the_floor] == []


def pytest_terminal_summary(terminalreporter, config):
    rows = config.stash.get(ALL_ROWS, [])
    if rows:
        terminalreporter.section("what it costs")
        terminalreporter.write_line(f"{'':<72}{'measured':>12}{'floor':>10}{'goal':>10}")
    for row in rows:
        terminalreporter.write_line(str(row))
