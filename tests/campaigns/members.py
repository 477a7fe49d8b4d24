"""
A served book, and eight members who write in it over HTTP, each something else, and send again what got no answer.

What was answered must be in the book once, whatever happens to the server meanwhile.
"""

import atexit
import re
import shutil
import signal
import sqlite3
import subprocess
import tempfile
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from http.client import HTTPException
from http.cookiejar import CookieJar
from itertools import cycle
from pathlib import Path
from uuid import UUID, uuid4

import psutil
import psycopg

from tests import postgres
from tests.studio.opened import THIS_CHECKOUT, Opened, environ_of_nobody

MEMBERS = 8
LONGEST_START_S = 30
LONGEST_WAIT_S = 120
ANOTHER = "#"  # a number that the book cannot hold, so that each count finds something
NUMBERS = cycle(range(2_000_000, 2_500_000, 1_009))  # a thousand uses of 10 mg lie between any two of them
WRITES = (  # each so small that neither bath nor jar runs out
    (
        "/waste/incidents/report/",
        {"kind": "spill", "what_happened": "A drop", "bath": "1"} | {"litres_0": "1", "litres_1": "mL"},
    ),
    ("/baths/1/drips/", {"plates": "1", "ml_each": "1"}),
    ("/baths/1/top-up/", {"water_l_0": "1", "water_l_1": "mL", "temperature_c": "18"}),
    ("/baths/2/lid/", {"lid_on": "on"}),
    ("/bites/write/", {"bath": "1", "state": "1", "minutes": "1", "amps": "0.1", "ml_each": "1"}),
    ("/shelf/c/C34/use/", {"amount": "10 mg"}),
    ("/shelf/c/C34/count/", {"amount": f"{ANOTHER} mg"}),
    ("/waste/incidents/report/", {"kind": "nearly", "what_happened": "The jug stood on the edge"}),
)
SIGN_IN = {"username": "maren", "password": "tallow-street"}
NO_ANSWER = (urllib.error.URLError, HTTPException, OSError)


class NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args):
        return None


class Member(threading.Thread):
    """Somebody at a browser, who sends a form until it is answered."""

    def __init__(self, address: str, closing_time: threading.Event, number: int, *, stumbling: bool = False):
        """stumbling: a page that says that the book stumbled is no answer yet, and the form is sent again."""
        super().__init__(daemon=True)
        self.address, self.closing_time, self.turn, self.stumbling = address, closing_time, number, stumbling
        self.browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()), NoRedirect)
        self.pages: dict[str, str] = {}
        self.answered: dict[UUID, str] = {}
        self.unanswered: dict[UUID, str] = {}
        self.trouble = ""

    def run(self):
        self.send("/people/sign-in/", SIGN_IN)
        while not self.closing_time.is_set() and not self.trouble:
            self.write(*WRITES[self.turn % len(WRITES)])
            self.turn += 1

    def write(self, path: str, typed: dict[str, str]) -> None:
        key, act = uuid4(), f"{path} {typed.get('kind', '')}"
        self.unanswered[key] = act
        if self.send(path, typed_under(key, typed)):
            del self.unanswered[key]
            self.answered[key] = act

    def send(self, path: str, typed: dict[str, str]) -> bool:
        """Whether the form was taken: it leads on to another page."""
        if path not in self.pages and (page := self.patiently(path)):
            self.pages[path] = _hidden("csrfmiddlewaretoken", page)
        hidden = {"csrfmiddlewaretoken": self.pages.get(path, "")}
        answer = self.patiently(path, urllib.parse.urlencode(hidden | typed).encode())
        if answer:
            self.trouble = self.trouble or f"{path} was not taken: {answer}"
        return answer == ""

    def patiently(self, path: str, form: bytes | None = None) -> str | None:
        """Ask until there is an answer: a page, or nothing but the way on; None when the studio closes first."""
        while not self.closing_time.is_set():
            try:
                with self.browser.open(self.address + path, form, timeout=30) as answer:
                    return answer.read().decode()
            except urllib.error.HTTPError as answer:
                with answer:
                    to = answer.headers["Location"] or ""
                    if answer.code == 302 and "sign-in" not in to:
                        return ""
                    if self.stumbling and answer.code >= 500:
                        time.sleep(0.05)
                        continue
                    self.trouble = f"{path} answered {answer.code} {to}"
                    return None
            except NO_ANSWER:
                time.sleep(0.1)
        return None


class Server:
    """The book served from one folder, at one address, however often it is killed."""

    def __init__(self, data: Path, database_url: str):
        port = postgres.free_port()  # any other might be given to a neighbour while the server is down
        self.data, self.address = data, f"http://127.0.0.1:{port}"
        self.environ = {"MORDANT_BIND": f"127.0.0.1:{port}", "MORDANT_NO_BOOTSTRAP": "1"}
        if database_url:
            self.environ["DATABASE_URL"] = database_url
        else:
            shutil.copytree(demo(), data, dirs_exist_ok=True)
        self.open()

    def open(self) -> None:
        until = time.monotonic() + LONGEST_START_S
        while True:
            self.opened = Opened(self.data, **self.environ)
            if self.opened.address:
                return
            self.opened.ended()
            if time.monotonic() > until:
                raise AssertionError(f"It does not open again: {self.opened.said}")
            time.sleep(0.1)  # workers of the one before may still be on their way out

    def kill_all(self) -> None:
        first = psutil.Process(self.opened.process.pid)
        for process in [first, *first.children(recursive=True)]:
            with suppress(psutil.NoSuchProcess):
                process.kill()
        self.opened.ended()

    def kill_the_first(self) -> None:
        """Its workers are left alone, in the middle of what they do, until they notice."""
        self.opened.process.kill()
        self.opened.process.wait()
        self.opened.process.stdout.close()

    @property
    def is_open(self) -> bool:
        return self.opened.process.poll() is None

    def verify(self) -> str:
        command = [*THIS_CHECKOUT, "verify"]
        environ = {**environ_of_nobody(), "MORDANT_DATA": str(self.data), **self.environ}
        done = subprocess.run(command, env=environ, capture_output=True, text=True, check=False)
        return (done.stdout + done.stderr).strip()


@cache
def demo() -> Path:
    """A book with the demo, begun once and closed; each server has a copy, for to write its year takes a while."""
    folder = Path(tempfile.mkdtemp(prefix="mordant-demo-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    Opened(folder, MORDANT_BIND=f"127.0.0.1:{postgres.free_port()}", MORDANT_NO_BOOTSTRAP="1").close(signal.SIGTERM)
    return folder


def typed_under(key: UUID, typed: dict[str, str]) -> dict[str, str]:
    return {name: value.replace(ANOTHER, str(next(NUMBERS))) for name, value in typed.items()} | {"key": str(key)}


@contextmanager
def read(server: Server) -> Iterator[sqlite3.Connection | psycopg.Connection]:
    """Past the server, and without changing anything."""
    if url := server.environ.get("DATABASE_URL"):
        with psycopg.connect(url) as book:
            yield book
    else:
        # whoever may only read leaves to the server what a kill has left behind
        with closing(sqlite3.connect(f"file:{server.data}/mordant.sqlite3?mode=ro", uri=True, timeout=30)) as book:
            yield book


def keys_in(server: Server) -> set[UUID]:
    with read(server) as book:
        # SQLite keeps them as text
        return {UUID(str(key)) for (key,) in book.execute("SELECT key FROM inventory_entry")}


def _hidden(name: str, page: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]+)"', page)
    assert found, f"no {name} on the page: {page}"
    return found[1]


@contextmanager
def writing(server: Server, *, stumbling: bool = False) -> Iterator[list[Member]]:
    """Eight members write until the block ends."""
    closing_time = threading.Event()
    members = [Member(server.address, closing_time, number, stumbling=stumbling) for number in range(MEMBERS)]
    try:
        for member in members:
            member.start()
        yield members
    finally:
        closing_time.set()
        for member in members:
            member.join(timeout=60)


def wait_for_writes(members: list[Member], meanwhile: Callable[[], None] = lambda: None) -> None:
    """Until somebody was answered again, however slow the machine is."""
    before, until = sum(len(each.answered) for each in members), time.monotonic() + LONGEST_WAIT_S
    while sum(len(each.answered) for each in members) == before:
        assert time.monotonic() < until, f"nobody was answered for {LONGEST_WAIT_S} s"
        assert not any(each.trouble for each in members), [each.trouble for each in members]
        meanwhile()
        time.sleep(0.02)


@dataclass(frozen=True)
class Reckoning:
    answered: int
    cut_off: int
    cut_off_but_whole: int
    verdict: str


def reckoned(server: Server, members: list[Member]) -> Reckoning:
    """Raises AssertionError for an answered write that is not in the book, and for a book that is not sound."""
    troubles = [member.trouble for member in members if member.trouble]
    assert not troubles, troubles
    answered = {key for member in members for key in member.answered}
    unanswered = {key for member in members for key in member.unanswered}
    written = keys_in(server)
    assert answered, "nobody wrote anything"
    assert answered <= written, f"{len(answered - written)} answered writes are lost"
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
    return Reckoning(len(answered), len(unanswered), len(unanswered & written), verdict)
