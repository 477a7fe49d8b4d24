"""What a booklet of 60 pages costs in memory: the workers that serve the book, and the process that prints it."""

import http.cookiejar
import os
import re
import subprocess
import sys
import time
import urllib.parse
import urllib.request
from io import BytesIO

import psutil
import pypdf
import pytest

from studio.server import bootstrap
from tests.studio.opened import opened

pytestmark = pytest.mark.benchmark_ratio

PAGES, MORE = 60, 24  # the demo's own booklet has some forty
FLOOR_MB, GOAL_MB = 160, 120
PRESS_FLOOR_MB = 180  # it holds every page until the whole is written, some 2 MB each
PATIENCE_S = 400


@pytest.fixture
def book(tmp_path):
    """The demo with so many more materials that its booklet has 60 pages or more, on the server it ships with."""
    with opened(tmp_path / "book") as served:
        environ = os.environ | {"MORDANT_DATA": str(tmp_path / "book"), "DJANGO_SETTINGS_MODULE": "studio.settings"}
        subprocess.run(
            [sys.executable, "-m", "tests.benchmarks.shelf", str(MORE)], check=True, cwd=bootstrap.ROOT, env=environ
        )
        yield served


def test_a_long_booklet_leaves_the_workers_as_they_were(book, table):
    ask = _signed_in(book.address)
    server = psutil.Process(book.process.pid)
    most = {"worker": _most_mb(server)["worker"], "press": 0.0}
    before, began = most["worker"], time.monotonic()

    job = _sent(ask, f"{book.address}/safety/booklet/")
    while "Open it" not in ask(job).decode() and time.monotonic() - began < PATIENCE_S:
        now = _most_mb(server)
        most = {who: max(most[who], now[who]) for who in most}
        time.sleep(0.1)
    took = time.monotonic() - began
    pages = len(pypdf.PdfReader(BytesIO(ask(f"{job}paper/"))).pages)
    after = _most_mb(server)["worker"]

    assert pages >= PAGES
    table.most(f"booklet of {pages} pages, s a page", took / pages)
    table.most("booklet: a worker before, MB", before)
    table.most("booklet: a worker at most, MB", max(most["worker"], after), FLOOR_MB, GOAL_MB)
    table.most("booklet: the press at most, MB", most["press"], PRESS_FLOOR_MB)


def _most_mb(server) -> dict[str, float]:
    """The largest of the workers, and of the processes that print."""
    most = {"worker": 0.0, "press": 0.0}
    for process in server.children(recursive=True):
        try:
            who = "press" if "studio.printing.job" in process.cmdline() else "worker"
            most[who] = max(most[who], process.memory_info().rss / 1e6)
        except psutil.NoSuchProcess:  # it has ended since
            continue
    return most


def _signed_in(address: str):
    """The demo's keyholder: asks for a page, or sends a form to it."""
    jar = http.cookiejar.CookieJar()
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))

    def ask(url: str, typed: dict | None = None, answered=lambda response: response.read()):
        sent = urllib.parse.urlencode(typed).encode() if typed else None
        with opener.open(urllib.request.Request(url, sent, {"Referer": address}), timeout=60) as response:
            return answered(response)

    door = f"{address}/people/sign-in/"
    ask(door, {"username": "maren", "password": "tallow-street"} | _token(ask, door))
    return ask


def _sent(ask, url: str, **typed: str) -> str:
    """Where the form of a page leads."""
    return ask(url, typed | _token(ask, url), answered=lambda response: response.url)


def _token(ask, url: str) -> dict[str, str]:
    [token] = set(re.findall(r'name="csrfmiddlewaretoken" value="(\w+)"', ask(url).decode())[-1:])
    return {"csrfmiddlewaretoken": token}
