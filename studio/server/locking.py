"""One process at a time: a lock on a file that the system itself gives back, however its holder ended."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

if sys.platform == "win32":
    import msvcrt

    FAR_BEYOND_THE_NOTE = 1 << 30

    def lock(file):
        # what is locked on Windows cannot be read, and others must read the note
        file.seek(FAR_BEYOND_THE_NOTE)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        file.seek(0)

else:
    import fcntl

    def lock(file):
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


class LockTaken(Exception):
    """Another process holds the lock; the message is the note it left."""


@contextmanager
def tried(path: Path, **how: Any) -> Iterator[bool]:
    """Whether the lock is held."""
    with ExitStack() as stack:
        is_ours = True
        try:
            stack.enter_context(held(path, **how))
        except LockTaken:
            is_ours = False
        yield is_ours


@contextmanager
def held(
    path: Path, *, patience_s: float = 0, waiting: str = "", while_waiting: Callable[[], object] = bool
) -> Iterator[Callable[[str], None]]:
    """
    Hold the lock; what is yielded leaves a note for whoever finds it taken.

    waiting: said once while another holds it. while_waiting: called again and again meanwhile.
    """
    until = time.monotonic() + patience_s
    with open(path, "a+") as file:
        while not is_ours(file):
            if time.monotonic() >= until:
                raise LockTaken(path.read_text() or "in use")
            if waiting:
                print(waiting, flush=True)
                waiting = ""
            while_waiting()
            time.sleep(0.05)
        file.truncate(0)
        yield lambda note: print(note, end="", file=file, flush=True)


def is_ours(file) -> bool:
    try:
        lock(file)
    except OSError:
        return False
    return True
