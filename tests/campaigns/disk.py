"""
A small disk that fills up under an open book, and one that may only be read: what cannot be written is refused in a
sentence, what was answered is in the book, and a backup, a restore or a start says why it cannot be.

The disk is a file system in memory, mounted for this, which takes root; elsewhere it says so and tries nothing.
"""

import random
import subprocess
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter

from tests.campaigns.members import SIGN_IN, THIS_CHECKOUT, WRITES, Member, Server, environ_of_nobody, keys_in
from tests.campaigns.table import table

SIZE_MB, LEFT_KB = 96, (0, 64, 256)
NO_ROOM = ("The disk is full", "takes no more files", "The book stumbled")


class NotHere(Exception):
    """This machine mounts nothing for us."""


@contextmanager
def small_disk() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="mordant-disk-") as name:
        mount = ["mount", "-t", "tmpfs", "-o", f"size={SIZE_MB}m,mode=700", "tmpfs", name]
        if subprocess.run(mount, capture_output=True, check=False).returncode:
            raise NotHere
        try:
            yield Path(name)
        finally:
            subprocess.run(["umount", "--lazy", name], check=True)


class Writer(Member):
    """One who looks what a form that was not taken was answered with."""

    def __init__(self, server: Server):
        super().__init__(server.address, threading.Event(), 0)
        self.send("/people/sign-in/", SIGN_IN)
        self.refused: list[str] = []

    def tries(self, often: int) -> None:
        for _ in range(often):
            self.trouble = ""
            path, typed = WRITES[self.turn % len(WRITES)]
            self.turn += 1
            self.write(path, typed)
            if self.trouble:
                self.refused.append(self.trouble)


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, began = random.Random(seed), perf_counter()
    try:
        with small_disk() as data:
            server = Server(data, url)
            try:
                rows = [*full(server, luck, tries=80 if long else 4), *read_only(server)]
            finally:
                if server.is_open:
                    server.kill_all()
    except NotHere:
        return "This machine mounts no file system for a test: nothing was tried."
    return table(["what", "answered", "refused in a sentence", "then"], rows) + f"\n{perf_counter() - began:.0f} s"


def full(server: Server, luck: random.Random, *, tries: int) -> Iterator[list]:
    writer, ballast = Writer(server), server.data / "ballast"
    for left_kb in LEFT_KB:
        fill(ballast, server.data, left_kb)
        before = len(writer.answered), len(writer.refused)
        writer.tries(tries)
        refused = writer.refused[before[1] :]
        assert all(any(said in each for said in NO_ROOM) for each in refused), refused
        ballast.unlink()
        yield [
            f"{left_kb} kB are left",
            len(writer.answered) - before[0],
            f"{len(refused)} ({sum('stumbled' in each for each in refused)} stumbled)",
            sound(server, writer),
        ]
        writer.tries(1)
        assert len(writer.answered) > before[0], writer.refused[-1:]
    fill(ballast, server.data, 40)
    yield ["a backup without room", "", *failing(server, "backup")]
    ballast.unlink()
    succeeds(server, "backup")
    archive = next((server.data / "backups").glob("book-*.zip"))
    if server.is_open:
        server.kill_all()
    fill(ballast, server.data, 40)
    yield ["a restore without room", "", *failing(server, "restore", str(archive))]
    ballast.unlink()
    yield ["with room again", "", "", sound(server, writer)]
    fill(ballast, server.data, 0)
    yield ["a start without room", "", *starting(server)]
    ballast.unlink()
    server.open()


def read_only(server: Server) -> Iterator[list]:
    """What an open book does on one, `read_only` tries: no disk turns over under files that are open."""
    writer = Writer(server)
    server.kill_all()
    remount(server.data, "ro")
    try:
        yield ["verify of a book on a read-only disk", "", "", sound(server, writer)]
        yield ["a start of a book on a read-only disk", "", *starting(server)]
    finally:
        remount(server.data, "rw")
    server.open()
    writer = Writer(server)
    writer.tries(1)
    yield ["it can be written again", len(writer.answered), "", sound(server, writer)]


def fill(ballast: Path, disk: Path, left_kb: int) -> None:
    with ballast.open("wb", buffering=0) as file:
        try:
            while file.write(bytes(1 << 16)):
                pass
        except OSError:
            size = file.tell()
    with ballast.open("rb+") as file:
        file.truncate(max(0, size - left_kb * 1024))


def remount(disk: Path, how: str) -> None:
    subprocess.run(["mount", "-o", f"remount,{how}", str(disk)], check=True)


def sound(server: Server, writer: Writer) -> str:
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
    assert set(writer.answered) <= keys_in(server), "an answered write is lost"
    return "sound, all that was answered is in it"


def told(server: Server, *command: str) -> subprocess.CompletedProcess:
    environ = {**environ_of_nobody(), "MORDANT_DATA": str(server.data), **server.environ}
    return subprocess.run([*THIS_CHECKOUT, *command], env=environ, capture_output=True, text=True, check=False)


def failing(server: Server, *command: str) -> list[str]:
    before = {path for path in server.data.rglob(".*") if path.is_dir()}
    done = told(server, *command)
    said = (done.stdout + done.stderr).strip()
    assert done.returncode, f"{command} went through: {said}"
    assert "Traceback" not in said, said
    left = {path for path in server.data.rglob(".*") if path.is_dir()} - before
    assert not left, f"left {left}"
    return [said.splitlines()[-1][:100], "nothing is left of it"]


def succeeds(server: Server, *command: str) -> None:
    done = told(server, *command)
    assert not done.returncode, done.stderr


def starting(server: Server) -> list[str]:
    """It opens, or says in a sentence why not."""
    from tests.studio.opened import Opened

    opened = Opened(server.data, **server.environ)
    if opened.address:
        server.opened = opened
        server.kill_all()
        return ["", "it opens"]
    opened.ended()
    assert "Traceback" not in opened.said, opened.said
    return [opened.said.strip().splitlines()[-1][:100], "it does not open"]
