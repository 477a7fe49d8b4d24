"""
PostgreSQL stopped and started again under eight writers, at once and in an orderly way: every write that was answered
is in the book once, and what could not be written then is written when it is sent again.

SQLite has no server to restart; there the book itself is closed in an orderly way and opened again.
"""

import signal
import tempfile
import time
from pathlib import Path
from random import Random

from tests import postgres
from tests.campaigns.members import Server, reckoned, wait_for_writes, writing
from tests.campaigns.table import table

SHORT, LONG = 1, 60
APART_S = (1.0, 4.0)


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, restarts, began = Random(seed), LONG if long else SHORT, time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mordant-restart-") as folder:
        server = Server(Path(folder), url)
        try:
            with writing(server, stumbling=True) as members:
                for _ in range(restarts):
                    wait_for_writes(members)
                    time.sleep(luck.uniform(*APART_S))
                    if url:
                        postgres.restart(url, at_once=luck.random() < 0.5)
                    else:
                        server.opened.close(signal.SIGTERM)
                        server.open()
                wait_for_writes(members)
            found = reckoned(server, members)
        finally:
            if server.is_open:
                server.kill_all()
    row = [restarts, found.answered, 0, found.cut_off, found.cut_off_but_whole, round(time.monotonic() - began)]
    headings = ["restarts", "answered", "lost", "cut off", "of them written whole", "seconds"]
    return f"{table(headings, [row])}\n{found.verdict}"
