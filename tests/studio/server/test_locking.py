import subprocess
import sys

import pytest

from studio.server import locking

HOLD = "import sys; from studio.server import locking; from pathlib import Path\n" + (
    "with locking.held(Path(sys.argv[1])) as leave_note:\n"
    "    leave_note('with the other hand')\n"
    "    print('held', flush=True)\n"
    "    sys.stdin.read()\n"
)


@pytest.fixture
def holder(tmp_path):
    """Another process that holds the lock until it is let go."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, tmp_path / "lock"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        process.stdout.readline()
        yield process


def test_whoever_finds_it_taken_reads_who_has_it(holder, tmp_path):
    with pytest.raises(locking.LockTaken, match="with the other hand"), locking.held(tmp_path / "lock"):
        pass


def test_a_killed_holder_gives_it_back(holder, tmp_path):
    holder.kill()

    with locking.held(tmp_path / "lock", patience_s=10):
        note = (tmp_path / "lock").read_text()

    assert note == ""


def test_whoever_waits_says_so_once(holder, tmp_path, capsys):
    with (
        pytest.raises(locking.LockTaken),
        locking.held(tmp_path / "lock", patience_s=0.2, waiting="Waiting for the press ..."),
    ):
        pass

    assert capsys.readouterr().out == "Waiting for the press ...\n"
