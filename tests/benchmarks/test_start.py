"""How long the one command takes beside what it cannot do without: making an environment and filling it."""

import signal
import subprocess
import sys
import time

import pytest

from studio.server import bootstrap
from tests.studio.opened import opened

pytestmark = pytest.mark.benchmark_ratio
SYSTEM_PYTHON = getattr(sys, "_base_executable", sys.executable)
COLD_RATIO = 1.35  # of environment and installation
WARM_S = 1.0  # on an idle machine; shown, for a busy one would fail it


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


def test_a_cold_and_a_warm_start(tmp_path, capsys):
    subprocess.run(["git", "clone", "--quiet", bootstrap.ROOT, tmp_path / "mordant"], check=True)
    manage = (SYSTEM_PYTHON, tmp_path / "mordant" / "manage.py")

    floor = _environment_and_installation(tmp_path / "floor")
    cold = _start(tmp_path / "data", manage)
    warm = sorted(_start(tmp_path / "data", manage) for _ in range(5))[2]

    with capsys.disabled():
        print(f"\nstart, cold: {cold:.1f} s, {cold / floor:.2f} of {floor:.1f} s (bar {COLD_RATIO})", end="; ")
        print(f"warm: {warm:.2f} s (bar {WARM_S})")
    assert cold / floor < COLD_RATIO
