"""
The served book killed in the middle of writing, again and again: `python -m tests.kill 200 [postgresql]`.

Members write over HTTP, as browsers do, and send again what got no answer. After each kill the book is verified; at
the end every write that was answered must be in it once.
"""

import random
import re
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from http.client import HTTPException
from http.cookiejar import CookieJar
from pathlib import Path
from uuid import UUID

import psutil
import psycopg

from tests import postgres
from tests.studio.opened import THIS_CHECKOUT, Opened, environ_of_nobody

MEMBERS = 4
LONGEST_LIFE_S = 2.0
LONGEST_START_S = 30
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
    ("/shelf/c/C34/count/", {"amount": "2 kg"}),
)
NO_ANSWER = (urllib.error.URLError, HTTPException, OSError)


class NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *args):
        return None


class Member(threading.Thread):
    """Somebody at a browser, who sends a form until it is answered."""

    def __init__(self, address: str, closing_time: threading.Event):
        super().__init__(daemon=True)
        self.address, self.closing_time = address, closing_time
        self.browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()), NoRedirect)
        self.answered: set[UUID] = set()
        self.unanswered: set[UUID] = set()
        self.trouble = ""

    def run(self):
        self.send("/people/sign-in/", {"username": "maren", "password": "tallow-street"})
        while not self.closing_time.is_set() and not self.trouble:
            self.write(*random.choice(WRITES))

    def write(self, path: str, typed: dict[str, str]) -> None:
        page = self.patiently(path)
        if page is None:
            return
        key = UUID(_hidden("key", page))
        self.unanswered.add(key)
        if self.send(path, typed, page):
            self.unanswered.remove(key)
            self.answered.add(key)

    def send(self, path: str, typed: dict[str, str], page: str | None = None) -> bool:
        """Whether the form was taken: it leads on to another page."""
        page = page or self.patiently(path) or ""
        hidden = {name: _hidden(name, page) for name in ("csrfmiddlewaretoken", "key") if f'name="{name}"' in page}
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
                    self.trouble = f"{path} answered {answer.code} {to}"
                    return None
            except NO_ANSWER:
                time.sleep(0.02)
        return None


class Server:
    """The book served from one folder, at one address, however often it is killed."""

    def __init__(self, data: Path, database_url: str):
        port = postgres.free_port()  # any other might be given to a neighbour while the server is down
        self.data, self.address = data, f"http://127.0.0.1:{port}"
        self.environ = {"MORDANT_BIND": f"127.0.0.1:{port}", "MORDANT_NO_BOOTSTRAP": "1"}
        if database_url:
            self.environ["DATABASE_URL"] = database_url
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

    def kill_a_worker(self) -> None:
        random.choice(psutil.Process(self.opened.process.pid).children()).kill()

    @property
    def is_open(self) -> bool:
        return self.opened.process.poll() is None

    def verify(self) -> str:
        command = [*THIS_CHECKOUT, "verify"]
        environ = {**environ_of_nobody(), "MORDANT_DATA": str(self.data), **self.environ}
        done = subprocess.run(command, env=environ, capture_output=True, text=True, check=False)
        return (done.stdout + done.stderr).strip()


def killed(kills: int, data: Path, database_url: str = "") -> str:
    """Kill the book so many times; what came of it, in one line. Raises AssertionError for anything lost or wrong."""
    began = time.monotonic()
    server = Server(data, database_url)
    closing_time = threading.Event()
    members = [Member(server.address, closing_time) for _ in range(MEMBERS)]
    try:
        for member in members:
            member.start()
        for _ in range(kills):
            _kill_once(server)
            print(".", end="", file=sys.stderr, flush=True)
            assert not any(member.trouble for member in members), [member.trouble for member in members]
    finally:
        closing_time.set()
        for member in members:
            member.join(timeout=60)
        if server.is_open:
            server.kill_all()
    return _reckoned(server, members, kills, time.monotonic() - began)


def _kill_once(server: Server) -> None:
    time.sleep(random.uniform(0, LONGEST_LIFE_S))
    random.choice((server.kill_all, server.kill_all, server.kill_the_first, server.kill_a_worker))()
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
    if not server.is_open:
        server.opened.ended()
        server.open()


def _reckoned(server: Server, members: list[Member], kills: int, seconds: float) -> str:
    answered = set[UUID]().union(*(member.answered for member in members))
    unanswered = set[UUID]().union(*(member.unanswered for member in members))
    written = _keys(server)
    assert answered, "nobody wrote anything"
    assert answered <= written, f"{len(answered - written)} answered writes are lost"
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
    return (
        f"{kills} kills in {seconds:.0f} s: {len(answered)} writes were answered and all are in the book; "
        f"{len(unanswered)} were cut off at the end, {len(unanswered & written)} of them written whole. {verdict}"
    )


def _keys(server: Server) -> set[UUID]:
    select = "SELECT key FROM inventory_entry"
    if url := server.environ.get("DATABASE_URL"):
        with psycopg.connect(url) as book:
            return {key for (key,) in book.execute(select)}
    with closing(sqlite3.connect(server.data / "mordant.sqlite3")) as book:
        return {UUID(key) for (key,) in book.execute(select)}


def _hidden(name: str, page: str) -> str:
    found = re.search(rf'name="{name}" value="([^"]+)"', page)
    assert found, f"no {name} on the page: {page}"
    return found[1]


@contextmanager
def database(kind: str) -> Iterator[str]:
    """The DATABASE_URL of a kind of database; none for the file."""
    if kind == "postgresql":
        with postgres.server() as url:
            yield url
    else:
        yield ""


def main(kills: str, kind: str = "sqlite") -> None:
    with tempfile.TemporaryDirectory(prefix="mordant-kill-") as folder, database(kind) as url:
        print(killed(int(kills), Path(folder), url))


if __name__ == "__main__":
    main(*sys.argv[1:])
