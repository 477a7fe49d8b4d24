"""
A book that opens in a tenth of a second: the server is forked from a process that has everything loaded.

What is forked is what `manage.py start` does once a book is in order: the lock, granian, its workers, the studio's own
gateway and settings. To start Python and load it all takes seconds.
"""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing, suppress
from pathlib import Path
from uuid import uuid4

import psutil
import psycopg

from tests.campaigns.members import LONGEST_START_S, SIGN_IN, WRITES, Server, typed_under
from tests.studio.opened import environ_of_nobody

BOOK, FIRST = "mordant.sqlite3", "first.sqlite3"


class ForkedServer(Server):
    """Begun once in full, with the demo; each further book is a copy of that one."""

    def __init__(self, data: Path, database_url: str):
        begun = Server(data, database_url)
        begun.opened.close(signal.SIGTERM)
        self.data, self.address, self.environ = begun.data, begun.address, begun.environ
        self.first_url = database_url
        self.first: psutil.Process | None = None
        self.forked: set[psutil.Process] = set()
        if database_url:
            self.environ["DATABASE_URL"] = neighbour(database_url, "copied")
        else:
            with closing(sqlite3.connect(data / BOOK)) as book, closing(sqlite3.connect(data / FIRST)) as first:
                book.backup(first)  # with what is still in its write-ahead log
        self.copy()
        self.loaded = subprocess.Popen(
            [sys.executable, "-m", "tests.campaigns.forking"],
            env={**environ_of_nobody(), "MORDANT_DATA": str(data), **self.environ},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=(data / "said").open("w"),
            text=True,
        )
        assert self.loaded.stdout.readline() == "loaded\n", (data / "said").read_text()

    def begin_anew(self) -> None:
        self.kill_all()
        self.copy()
        self.open()

    def copy(self) -> None:
        if self.first_url:
            with psycopg.connect(neighbour(self.first_url, "template1"), autocommit=True) as book:
                book.execute("DROP DATABASE IF EXISTS copied WITH (FORCE)")
                book.execute("CREATE DATABASE copied TEMPLATE postgres")
        else:
            for file in self.data.glob(f"{BOOK}*"):
                file.unlink()
            shutil.copy(self.data / FIRST, self.data / BOOK)

    def open(self) -> None:
        print("open", file=self.loaded.stdin, flush=True)
        self.first = psutil.Process(int(self.loaded.stdout.readline()))
        assert self.first.ppid() == self.loaded.pid, "it is not ours to kill"

    def workers(self) -> list[psutil.Process]:
        """Those whose first was killed a moment ago too."""
        if self.is_open:
            with suppress(psutil.NoSuchProcess):
                self.forked.update(self.first.children(recursive=True))
        self.forked = {each for each in self.forked if each.is_running()}
        return list(self.forked)

    def kill_all(self) -> None:
        if self.is_open:
            with suppress(psutil.NoSuchProcess):
                self.first.suspend()  # or it would begin another worker meanwhile
        for process in (family := [*self.workers(), *([self.first] if self.is_open else [])]):
            with suppress(psutil.NoSuchProcess):
                process.kill()
        until = time.monotonic() + LONGEST_START_S
        while not all(has_ended(process) for process in family):
            assert time.monotonic() < until, "what was killed is still there"
            time.sleep(0.005)

    def kill_the_first(self) -> None:
        self.workers()
        with suppress(psutil.NoSuchProcess):
            self.first.kill()

    def kill_a_worker(self) -> None:
        """One that serves; after a kill the next may not be there yet."""
        until = time.monotonic() + LONGEST_START_S
        while not (workers := self.workers()) and self.is_open and time.monotonic() < until:
            time.sleep(0.02)
        for worker in workers[:1]:
            with suppress(psutil.NoSuchProcess):
                worker.kill()

    @property
    def is_open(self) -> bool:
        return self.first is not None and self.first.is_running()

    def end(self) -> None:
        self.kill_all()
        with self.loaded:
            self.loaded.stdin.close()


def has_ended(process: psutil.Process) -> bool:
    """Nothing of it is left but its number, which init takes back when it likes: at times a second later."""
    try:
        return process.status() == psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return True


def neighbour(url: str, name: str) -> str:
    """Another database of the same server."""
    return f"{url.rpartition('/')[0]}/{name}"


def main() -> None:
    """Fork a server for each line that comes in, and say its number."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "studio.settings"
    import django

    django.setup()
    from studio.server import serving
    from studio.server.worker import gateway  # noqa: F401  # which brings along all pages

    serving.load_pages()
    write_once()
    print("loaded", flush=True)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for those that were killed
    for _ in sys.stdin:
        if number := os.fork():
            print(number, flush=True)
        else:
            serve()


def write_once() -> None:
    """Each form once, into a book that is thrown away: what is only loaded when it is needed is loaded by then."""
    from django.core.cache import cache
    from django.db import connections
    from django.test import Client

    browser = Client(HTTP_HOST="127.0.0.1")
    browser.post("/people/sign-in/", SIGN_IN)
    for path, typed in WRITES:
        assert browser.get(path).status_code == 200
        assert browser.post(path, typed_under(uuid4(), typed)).status_code == 302
    cache.clear()
    connections.close_all()


def serve() -> None:
    from django.conf import settings

    from studio.server import locking, serving

    os.setsid()
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # only numbers are heard
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    try:
        with serving.open_book():
            serving.serve(settings.BIND_HOST, settings.BIND_PORT, when_it_answers=bool)
    except locking.LockTaken:
        pass  # by workers whose first was killed
    finally:
        os._exit(0)


if __name__ == "__main__":
    main()
