import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import psutil
import pytest

ROOT = Path(__file__).resolve().parents[3]
LONGEST_S = 30
SERVER = """
import multiprocessing, sys, time
from tests.studio.server.test_worker import deaf_worker

if __name__ == "__main__":
    multiprocessing.get_context("spawn").Process(target=deaf_worker, args=sys.argv[1:]).start()
    time.sleep(60)
"""


def deaf_worker(note):
    """A worker that does not hear that it should stop, as one that is just starting."""
    from studio.server import worker

    signal.signal(signal.SIGTERM, signal.SIG_IGN)
    worker.GRACE_S = 0.1
    worker.begin()
    Path(note).write_text(f"{os.getpid()}\n")
    time.sleep(60)


@pytest.mark.skipif(sys.platform == "win32", reason="there a worker is ended outright")
def test_a_worker_whose_server_was_killed_ends_even_if_it_does_not_hear_it(tmp_path):
    script, note = tmp_path / "server.py", tmp_path / "note"
    script.write_text(SERVER)
    environ = os.environ | {"MORDANT_DATA": str(tmp_path), "PYTHONPATH": str(ROOT)}
    server = subprocess.Popen([sys.executable, script, note], env=environ)
    worker = psutil.Process(int(_said(note)))

    server.kill()
    server.wait()

    worker.wait(timeout=LONGEST_S)
    assert not worker.is_running()


def _said(note):
    until = time.monotonic() + LONGEST_S
    while not (note.exists() and note.read_text().endswith("\n")):
        assert time.monotonic() < until, "the worker did not start"
        time.sleep(0.05)
    return note.read_text()
