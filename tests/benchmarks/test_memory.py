"""What the whole server takes of a machine's memory: opened, after a walk over all pages, while a booklet prints."""

import re
import time
import urllib.error
from collections import Counter

import psutil
import pytest

from studio.printing import press
from tests.benchmarks.test_booklet import _sent, _signed_in
from tests.studio.opened import opened

pytestmark = pytest.mark.benchmark_ratio

WALK_FLOOR_MB, WALK_GOAL_MB = 200, 150
PRINTING_FLOOR_MB, PRINTING_GOAL_MB = 250, 230
ALIKE = 3  # pages of one kind that the walk opens: their memory is that of the first few
PATIENCE_S = 600
LINK, NUMBER = re.compile(r'href="(/[^"#]*)"'), re.compile(r"\d+")


def test_the_server_is_small_and_stays_small(clone, tmp_path, table):
    with opened(tmp_path / "book", manage=clone) as book:
        assert book.address, book.said
        server, ask = psutil.Process(book.process.pid), _signed_in(book.address)
        began = taken_mb(server)
        pages = walk(ask, book.address)
        walked = taken_mb(server)
        time.sleep(press.IDLE_S + 2)
        rested = taken_mb(server)
        printing = most_while_printing_mb(server, ask, book.address)

    table.most("memory of all processes (PSS), opened, MB", began)
    table.most(f"memory after {pages} pages, MB", walked)
    table.most("memory once nobody prints any more, MB", rested, WALK_FLOOR_MB, WALK_GOAL_MB)
    table.most("memory while a booklet is printed, MB", printing, PRINTING_FLOOR_MB, PRINTING_GOAL_MB)


def taken_mb(server: psutil.Process) -> float:
    """Memory that processes share counts once."""
    return sum(pss_mb(process) for process in (server, *server.children(recursive=True)))


def pss_mb(process: psutil.Process) -> float:
    try:
        return process.memory_full_info().pss / 1e6
    except psutil.NoSuchProcess:  # it has ended since
        return 0.0


def walk(ask, address: str) -> int:
    """Every page that a link leads to from the bench on, papers among them, a few of each kind."""
    met, waiting, opened_pages = {"/"}, ["/"], 0
    kinds: Counter[str] = Counter()
    while waiting:
        try:
            content = ask(address + waiting.pop(0)).decode(errors="replace")
        except urllib.error.HTTPError:  # what a link of another day leads to has gone
            continue
        opened_pages += 1
        for path in (link.replace("&amp;", "&") for link in LINK.findall(content)):
            kind = NUMBER.sub("n", path.split("?")[0]) + "?" * ("?" in path)
            if path not in met and kinds[kind] < ALIKE and not path.startswith("/static/"):
                met.add(path)
                kinds[kind] += 1
                waiting.append(path)
    return opened_pages


def most_while_printing_mb(server: psutil.Process, ask, address: str) -> float:
    job, most, began = _sent(ask, f"{address}/safety/booklet/"), 0.0, time.monotonic()
    while "Open it" not in ask(job).decode() and time.monotonic() - began < PATIENCE_S:
        most = max(most, taken_mb(server))
        time.sleep(0.2)
    return most
