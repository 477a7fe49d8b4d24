"""
The served book killed in the middle of writing, again and again. After each kill the book is verified; at the end every
write that was answered must be in it once.
"""

import random
import sys
import tempfile
import time
from pathlib import Path

from tests.campaigns.members import Server, reckoned, writing
from tests.campaigns.table import table

SHORT, LONG = 12, 10_000
LONGEST_LIFE_S = 2.0


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "", kills: int = 0) -> str:
    luck, began = random.Random(seed), time.monotonic()
    kills = kills or int(only or (LONG if long else SHORT))
    with tempfile.TemporaryDirectory(prefix="mordant-kill-") as folder:
        server = Server(Path(folder), url)
        try:
            with writing(server) as members:
                for _ in range(kills):
                    kill_once(server, luck)
                    print(".", end="", file=sys.stderr, flush=True)
                    assert not any(member.trouble for member in members), [member.trouble for member in members]
            found = reckoned(server, members)
        finally:
            if server.is_open:
                server.kill_all()
    row = [kills, found.answered, 0, found.cut_off, found.cut_off_but_whole, round(time.monotonic() - began)]
    headings = ["kills", "answered", "lost", "cut off", "of them written whole", "seconds"]
    return f"{table(headings, [row])}\n{found.verdict}"


def kill_once(server: Server, luck: random.Random) -> None:
    time.sleep(luck.uniform(0, LONGEST_LIFE_S))
    luck.choice((server.kill_all, server.kill_all, server.kill_the_first, server.kill_a_worker))()
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
    if not server.is_open:
        server.opened.ended()
        server.open()
