"""The book opened as people open it: a process, a terminal to read, an address to ask."""

import os
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ADDRESS_FOLLOWS = "Mordant is open at "
THIS_CHECKOUT = (sys.executable, Path(__file__).resolve().parents[2] / "manage.py")


class Opened:
    def __init__(self, data: Path, *arguments: str, manage=THIS_CHECKOUT, **environ: str):
        self.process = subprocess.Popen(
            [*manage, "start", *arguments],
            env={**environ_of_nobody(), "MORDANT_DATA": str(data), **environ},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self.said = ""
        self.address = ""
        for line in self.process.stdout:
            self.said += line
            if line.startswith(ADDRESS_FOLLOWS):
                self.address = line.removeprefix(ADDRESS_FOLLOWS).split()[0]
                return

    def ask(self, path: str) -> int:
        """The status a browser would see for a page."""
        try:
            with urllib.request.urlopen(self.address + path, timeout=10) as answer:
                return answer.status
        except urllib.error.HTTPError as refusal:
            with refusal:
                return refusal.code

    def close(self, signal: int) -> int:
        """Signal the whole terminal, as Ctrl+C does, and return the exit status."""
        os.killpg(self.process.pid, signal)
        return self.ended()

    def ended(self) -> int:
        """Hear it out; its exit status."""
        if not self.process.stdout.closed:
            with self.process.stdout as rest:
                self.said += rest.read()
        return self.process.wait(timeout=30)


def environ_of_nobody() -> dict[str, str]:
    """What stands around a start that nobody set anything for; whether it may make an environment stays as it is."""
    # nor, as a machine for tests may, forbids to keep what was compiled: each start would compile the house anew
    ours = ("MORDANT_", "DATABASE_", "DJANGO_SETTINGS_MODULE", "PYTHONDONTWRITEBYTECODE")
    kept = "MORDANT_NO_BOOTSTRAP"
    return {name: value for name, value in os.environ.items() if name == kept or not name.startswith(ours)}


@contextmanager
def opened(data: Path, *arguments: str, **how) -> Iterator[Opened]:
    book = Opened(data, *arguments, **how)
    try:
        yield book
    finally:
        if book.process.poll() is None:
            book.process.kill()
        book.ended()
