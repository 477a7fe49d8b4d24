"""
A node killed while it prints the booklet: the book stays sound, the paper is there or can be asked for again, and no
process and no half of a paper is left.
"""

import re
import tempfile
import threading
import time
from contextlib import suppress
from pathlib import Path
from random import Random

import psutil

from tests.campaigns.members import SIGN_IN, Member, Server
from tests.campaigns.table import table

SHORT, LONG = 1, 30
LONGEST_PRINT_S, WAITED_S = 300, 12


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, began, rows = Random(seed), time.monotonic(), []
    with tempfile.TemporaryDirectory(prefix="mordant-printing-") as folder:
        server = Server(Path(folder), url)
        try:
            for number in range(LONG if long else SHORT):
                reader = Member(server.address, threading.Event(), 0)
                reader.send("/people/sign-in/", SIGN_IN)
                reader.send("/safety/booklet/", {})
                time.sleep(luck.uniform(0.2, 4))
                press, is_press = presses(server), number % 2 == 1
                if is_press:
                    for process in press:
                        process.kill()
                else:
                    luck.choice((server.kill_all, server.kill_the_first))()
                if not server.is_open:
                    server.opened.ended()
                    server.open()
                    reader = Member(server.address, threading.Event(), 0)
                    reader.send("/people/sign-in/", SIGN_IN)
                verdict = server.verify()
                assert verdict.startswith("The book is sound"), verdict
                killed = "the press" if is_press else "the node"
                rows.append([killed, len(press), f"{printed_again(reader):.0f} s", "sound"])
                until = time.monotonic() + WAITED_S
                while (left := strays(server)) and time.monotonic() < until:
                    time.sleep(0.2)
                assert not left, f"{len(left)} presses are left"
        finally:
            if server.is_open:
                server.kill_all()
    told = table(["killed", "presses then", "printed again in", "the book"], rows)
    return f"{told}\n{time.monotonic() - began:.0f} s"


def presses(server: Server) -> list[psutil.Process]:
    """Processes that print for this book, whoever began them."""
    found = []
    for process in psutil.process_iter(["cmdline"]):
        with suppress(psutil.Error):
            prints = {"studio.printing.job", "studio.printing.press"} & {*(process.info["cmdline"] or [])}
            if prints and process.environ().get("MORDANT_DATA") == str(server.data):
                found.append(process)
    return found


def strays(server: Server) -> list[psutil.Process]:
    """Those that outlived who began them."""
    found = []
    for process in presses(server):
        with suppress(psutil.Error):
            if server.opened.process.pid not in {parent.pid for parent in process.parents()}:
                found.append(process)
    return found


def printed_again(reader: Member) -> float:
    """Ask for it until it is there; the seconds that took."""
    began, job = time.monotonic(), ""
    while time.monotonic() - began < LONGEST_PRINT_S:
        page = reader.patiently(job or "/safety/booklet/") or ""
        if "/paper/" in page:
            return time.monotonic() - began
        found = re.search(r'href="(/safety/booklet/[0-9a-f-]{36}/)"', page)
        if job and "not printed" in page:
            job = ""
        elif not job and found:
            job = found[1]
        elif not job:
            reader.send("/safety/booklet/", {})
        time.sleep(0.5)
    raise AssertionError(f"no booklet after {LONGEST_PRINT_S} s: {page[-500:]}")
