"""The whole book on a machine of 512 MB with half a core: what starts, opens, writes and prints, in seconds."""

import os
import time
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.benchmarks.test_booklet import _sent, _signed_in
from tests.studio.opened import THIS_CHECKOUT, opened

pytestmark = pytest.mark.benchmark_ratio

MEMORY, PROCESSOR = Path("/sys/fs/cgroup/memory"), Path("/sys/fs/cgroup/cpu")
MOST_BYTES, HALF_OF_100_MS = 512 * 2**20, 50_000
PATIENCE_S = 20


@contextmanager
def small_machine():
    """The command that goes in, and the file that says how much was taken at most."""
    groups = [each / f"mordant-{os.getpid()}" for each in (MEMORY, PROCESSOR)]
    try:
        for group in groups:
            group.mkdir()
    except OSError as refused:
        pytest.skip(f"control groups are not ours to make here: {refused}")
    try:
        (groups[0] / "memory.limit_in_bytes").write_text(str(MOST_BYTES))
        (groups[1] / "cpu.cfs_quota_us").write_text(str(HALF_OF_100_MS))
        into = " && ".join(f"echo $$ > {group}/cgroup.procs" for group in groups)
        yield ("/bin/sh", "-c", f'{into} && exec taskset -c 0 "$0" "$@"', *THIS_CHECKOUT), groups[0]
    finally:
        for group in groups:
            while (group / "cgroup.procs").read_text():  # on their way out
                time.sleep(0.1)
            group.rmdir()


def test_a_small_machine_does_all_that_a_bench_asks_for(tmp_path, table):
    with small_machine() as (command, memory):
        began = time.perf_counter()
        with opened(tmp_path / "book", manage=command) as book:
            table.most("small machine: first start with the demo, s", time.perf_counter() - began)
            ask = _signed_in(book.address)
            for what, act in {
                "bench, what needs a hand among it": lambda: ask(f"{book.address}/needs/"),
                "a top-up": lambda: _sent(ask, f"{book.address}/baths/1/top-up/", water_0="0.1", water_1="L"),
                "a printed card": lambda: ask(f"{book.address}/baths/1/card/"),
            }.items():
                began = time.perf_counter()
                answer = act()
                assert what != "a printed card" or answer.startswith(b"%PDF")
                table.most(f"small machine: {what}, s", time.perf_counter() - began, PATIENCE_S)
            most = int((memory / "memory.max_usage_in_bytes").read_text()) / 1e6
            table.most("small machine: most memory, files among it, MB", most, MOST_BYTES / 1e6)
