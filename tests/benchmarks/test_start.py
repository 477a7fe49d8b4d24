"""How long the one command takes beside what it cannot do without: making an environment and filling it."""

import signal
import subprocess
import time

import pytest

from studio.server import bootstrap
from tests.benchmarks.conftest import SYSTEM_PYTHON
from tests.studio.opened import opened

pytestmark = pytest.mark.benchmark_ratio
COLD_RATIO, WARM_S = (1.35, 1.2), (1.0, 0.7)  # (floor, goal)


def _environment_and_installation(folder) -> float:
    began = time.perf_counter()
    subprocess.run([SYSTEM_PYTHON, "-m", "venv", folder], check=True)
    install = [folder / "bin" / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    fixed = ["--require-hashes", "--only-binary=:all:", "--requirement", bootstrap.LOCK]
    subprocess.run([*install, *fixed], check=True, stderr=subprocess.DEVNULL)
    return time.perf_counter() - began


def _start(data, manage) -> float:
    """From the command to the first page."""
    began = time.perf_counter()
    with opened(data, manage=manage) as book:
        assert book.ask("/first-aid/") == 200
        took = time.perf_counter() - began
        book.close(signal.SIGINT)
    return took


def test_a_cold_and_a_warm_start(clone, tmp_path, table):
    floor = _environment_and_installation(tmp_path / "floor")
    cold = _start(tmp_path / "data", clone)
    warm = sorted(_start(tmp_path / "data", clone) for _ in range(5))[2]

    table.most("environment and installation, s", floor)
    table.most("first start of a clone, of environment and installation", cold / floor, *COLD_RATIO)
    table.most("start, s", warm, *WARM_S)
