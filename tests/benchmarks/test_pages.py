"""How many pages a second the book answers beside a view that is nothing but a view, on the server it ships with."""

import json
import os
import re
import shutil
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from studio.server import bootstrap

pytestmark = pytest.mark.benchmark_ratio

USE, NOWHERE = "/shelf/c/C2/use/", "/no-such-page/"
PAGES = {  # path: (floor, goal) of its ratio to the bare view
    "/first-aid/": (0.08, 0.15),
    "/": (0.05, 0.10),
    "/baths/1/": (0.05, 0.10),
    "/shelf/c/C1/": (0.05, 0.10),
    "/shelf/": (0.04, 0.08),
    "/waste/": (0.04, 0.08),
    NOWHERE: (0.15, 0.25),
}
WRITE = (0.03, 0.06)  # where the disk has it at once; elsewhere a write waits for the disk and not for the book
MEMORY = Path("/dev/shm")
COLD_SHARE = 0.5  # of the floor, where nothing is kept
ROUNDS, SECONDS, CONNECTIONS = 3, 2, 8
SLOWEST, SLOWEST_GOAL = 4.0, 2.5  # p99 to p50
KEPT_QUERIES, COLD_QUERIES = (4, 2), (15, 8)  # (floor, goal)
UNITS_MS = {"us": 1e-3, "ms": 1.0, "s": 1e3}
HERE = Path(__file__).parent
QUIET: dict = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    """A year in a book of its own, served with and without what it keeps, and the bare view; where, and how to ask."""
    if not shutil.which("wrk"):
        pytest.skip("wrk asks faster than anything here answers; install it to measure pages")
    folder = tmp_path_factory.mktemp("book")
    environ = os.environ | {
        "MORDANT_DATA": str(folder),
        "DJANGO_SETTINGS_MODULE": "studio.settings",
    }
    prepared = run("tests.benchmarks.prepare", *PAGES, env=environ)
    with ExitStack() as open_here, tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as memory:
        shutil.copytree(folder, memory, dirs_exist_ok=True)
        ports = {
            name: open_here.enter_context(served(target, environ | settings))
            for name, target, settings in (
                ("bare", "tests.benchmarks.bare:gateway", {}),
                ("kept", "studio.server.worker:gateway", {}),
                ("cold", "studio.server.worker:gateway", {"DJANGO_SETTINGS_MODULE": "tests.benchmarks.cold"}),
                ("in memory", "studio.server.worker:gateway", {"MORDANT_DATA": memory}),
            )
        }
        yield prepared | {"ports": ports, "folder": folder}


@pytest.fixture(scope="module")
def measured(book):
    """Each page, and the bare view, in rounds one after another: how many a second, and how long the slowest wait."""
    asked = [("bare", "/"), *((server, path) for server in ("kept", "cold") for path in PAGES)]
    asked += [("kept", USE), ("in memory", USE)]
    # turn and turn about, so that whatever else the machine does falls on all of them; the best round counts
    rounds = [
        {each: ask(book, *each) for each in asked} | {("beside", path): beside_a_writer(book, path) for path in PAGES}
        for _ in range(ROUNDS)
    ]
    servers = [*asked, *(("beside", path) for path in PAGES)]
    per_s = {each: max(found[each]["per_s"] for found in rounds) for each in servers}
    slowest = {each: min(found[each]["slowest"] for found in rounds) for each in servers}
    return per_s, slowest


def test_a_page_keeps_up_with_a_view_that_is_nothing_else(measured, book, table):
    per_s, slowest = measured
    bare = per_s["bare", "/"]
    table.least("bare view, a second", bare)
    for path, (floor, goal) in PAGES.items():
        table.least(f"{path} of bare", per_s["kept", path] / bare, floor, goal)
        table.least(f"{path} made anew, of bare", per_s["cold", path] / bare, COLD_SHARE * floor, COLD_SHARE * goal)
    table.least(f"{USE} where a sync costs nothing, of bare", per_s["in memory", USE] / bare, *WRITE)
    table.least(f"{USE} on the disk, of bare", per_s["kept", USE] / bare)
    # what no program can do without: the disk says that it has it
    commits = max(durable_commits_per_s(book["folder"]) for _ in range(ROUNDS))
    table.least("one row written durably by bare SQLite, a second", commits)
    table.least(f"{USE} on the disk, of one row written durably", per_s["kept", USE] / commits)


def test_nobody_waits_much_longer_than_the_others(measured, table):
    _, slowest = measured
    floor = max(SLOWEST, slowest["bare", "/"])
    table.most("bare view, p99/p50", slowest["bare", "/"])
    for path in PAGES:
        table.most(f"{path} p99/p50", slowest["kept", path], floor, SLOWEST_GOAL)
        table.most(f"{path} p99/p50 with a writer beside", slowest["beside", path], floor, SLOWEST_GOAL)
    table.most(f"{USE} p99/p50 where a sync costs nothing", slowest["in memory", USE], floor, SLOWEST_GOAL)


def test_a_page_asks_the_database_little(book, table):
    for path in PAGES:
        for name, count, (floor, goal) in zip(
            ("first", "kept"), book["queries"][path], (COLD_QUERIES, KEPT_QUERIES), strict=True
        ):
            table.most(f"{path} queries, {name}", count, floor, goal)


def durable_commits_per_s(folder: Path) -> float:
    connection = sqlite3.connect(folder / "bare.sqlite3", isolation_level=None)
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("CREATE TABLE IF NOT EXISTS row (words TEXT)")
    written, began = 0, time.perf_counter()
    while (took := time.perf_counter() - began) < 1:
        connection.execute("INSERT INTO row VALUES ('used 50 mL')")
        written += 1
    connection.close()
    return written / took


def beside_a_writer(book, path: str) -> dict[str, float]:
    """The page while one person writes without a pause, so that hardly anything that is kept is still true."""
    writer = subprocess.Popen(wrk(book, "kept", USE, connections=1), env=os.environ | {"CSRF": book["csrf"]}, **QUIET)
    try:
        return ask(book, "kept", path)
    finally:
        writer.wait(timeout=30)


def ask(book, server: str, path: str) -> dict[str, float]:
    """By wrk: pages a second, and how much longer the slowest hundredth waits than the middle one."""
    said = subprocess.run(
        wrk(book, server, path), env=os.environ | {"CSRF": book["csrf"]}, check=True, stdout=subprocess.PIPE, text=True
    ).stdout
    assert path == NOWHERE or "Non-2xx" not in said, said
    middle, slow = (waited_ms(said, percent) for percent in (50, 99))
    return {"per_s": float(re.search(r"Requests/sec:\s+([\d.]+)", said).group(1)), "slowest": slow / max(middle, 1e-3)}


def wrk(book, server: str, path: str, *, connections: int = CONNECTIONS) -> list[str]:
    script = ["--script", str(HERE / "use.lua")] if path == USE else []
    headers = {"Cookie": book["cookie"], "Content-Type": "application/x-www-form-urlencoded"}
    command = ["wrk", "--threads", "1", "--connections", str(connections), "--duration", f"{SECONDS}s", "--latency"]
    command += [word for name, value in headers.items() for word in ("--header", f"{name}: {value}")]
    return [*command, *script, f"http://127.0.0.1:{book['ports'][server]}{path}"]


def waited_ms(said: str, percent: int) -> float:
    number, unit = re.search(rf"{percent}%\s+([\d.]+)(us|ms|s)", said).groups()
    return float(number) * UNITS_MS[unit]


@contextmanager
def served(target: str, environ: dict[str, str]):
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    serve = ["granian", "--interface", "rsgi", "--workers", "1", "--no-ws", "--port", str(port), target]
    if target.startswith("tests.benchmarks.bare"):
        serve.append("--factory")
    server = subprocess.Popen([sys.executable, "-m", *serve], cwd=bootstrap.ROOT, env=environ, **QUIET)
    try:
        wait_for(port)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=60)


def run(module: str, *arguments: str, env=None) -> dict:
    command = [sys.executable, "-m", module, *arguments]
    return json.loads(subprocess.run(command, check=True, stdout=subprocess.PIPE, cwd=bootstrap.ROOT, env=env).stdout)


def wait_for(port: int) -> None:
    for _ in range(300):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5).close()
        except urllib.error.HTTPError:
            return
        except OSError:  # not there yet, or on a busy machine not awake yet
            time.sleep(0.1)
        else:
            return
    raise TimeoutError("the server did not answer")
