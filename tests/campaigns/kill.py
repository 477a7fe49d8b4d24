"""
The served book killed in the middle of writing, again and again: mostly the worker, at times whatever began it, at
times all of it at one moment. After each kill every write that was answered must be in the book, after every so many
the book is verified, and at the end each answered write must be in it once.

A run in pieces: `--seed 1 --minutes 9`, then other seeds.
"""

import random
import sys
import tempfile
import time
from collections import Counter
from math import inf
from pathlib import Path

from tests.campaigns.members import Member, Server, keys_in, reckoned, wait_for_writes, writing
from tests.campaigns.table import table

SHORT, LONG = 6, 10_000
LONGEST_LIFE_S = 0.5
VERIFIED_EVERY = 25
WAYS, WEIGHTS = ("a worker", "the first", "all of it"), (10, 1, 1)


def run(
    *, long: bool = False, seed: int = 0, url: str = "", only: str = "", kills: int = 0, minutes: float = inf
) -> str:
    luck, began = random.Random(seed), time.monotonic()
    most = kills or int(only or (LONG if long or minutes < inf else SHORT))
    done: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="mordant-kill-") as folder:
        server = Server(Path(folder), url)
        try:
            with writing(server) as members:
                while done.total() < most and time.monotonic() - began < 60 * minutes:
                    [way] = luck.choices(WAYS, WEIGHTS)
                    kill_once(server, members, way, luck)
                    done[way] += 1
                    if done.total() % VERIFIED_EVERY == 0:
                        verified(server)
                        print(".", end="", file=sys.stderr, flush=True)
            found = reckoned(server, members)
        finally:
            if server.is_open:
                server.kill_all()
    counted = [done.total(), *(done[way] for way in WAYS)]
    row = [*counted, found.answered, 0, found.cut_off, found.cut_off_but_whole, round(time.monotonic() - began)]
    headings = ["kills", *WAYS, "answered", "lost", "cut off", "of them written whole", "seconds"]
    return f"{table(headings, [row])}\n{found.verdict}"


def kill_once(server: Server, members: list[Member], way: str, luck: random.Random) -> None:
    """In the middle of writing: somebody was answered since it opened."""
    wait_for_writes(members)
    time.sleep(luck.uniform(0, LONGEST_LIFE_S))
    answered = set().union(*(set(member.answered) for member in members))
    {"a worker": server.kill_a_worker, "the first": server.kill_the_first, "all of it": server.kill_all}[way]()
    lost = answered - keys_in(server)
    assert not lost, f"{len(lost)} answered writes are lost"
    if not server.is_open:
        server.opened.ended()
        server.open()


def verified(server: Server) -> None:
    verdict = server.verify()
    assert verdict.startswith("The book is sound"), verdict
