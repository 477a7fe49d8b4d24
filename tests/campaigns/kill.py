"""
The served book killed in the middle of writing, again and again: mostly all of it at one moment, at times a worker or
whatever began it. After each kill every write that was answered is in the book. After every so many the book is sound,
holds nothing that nobody sent, and each write is whole; then eight members begin the next one.

What is killed is opened again in a moment (`tests/campaigns/forking.py`). A run in pieces: `--seed 1 --minutes 9`, then
other seeds.
"""

import random
import sys
import tempfile
import time
from collections import Counter, defaultdict
from math import inf
from pathlib import Path
from uuid import UUID

from django.apps import apps

from inventory.entries import EntryLine
from inventory.models import Movement
from tests.campaigns.forking import ForkedServer
from tests.campaigns.members import Member, keys_in, read, reckoned, wait_for_writes, writing
from tests.campaigns.table import table

SHORT, LONG = 20, 10_000
LIFE_S = (0.05, 0.5)
KILLS_OF_A_BOOK = 100
WAYS, WEIGHTS = ("all of it", "a worker", "the first"), (10, 2, 1)


def run(
    *, long: bool = False, seed: int = 0, url: str = "", only: str = "", kills: int = 0, minutes: float = inf
) -> str:
    luck, began = random.Random(seed), time.monotonic()
    until = began + 60 * minutes
    most = kills or int(only or (LONG if long or minutes < inf else SHORT))
    done: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="mordant-kill-") as folder:
        server = ForkedServer(Path(folder), url)
        try:
            while done["kills"] < most and time.monotonic() < until:
                done += one_book(server, luck, min(KILLS_OF_A_BOOK, most - done["kills"]), until)
                print(dict(done), round(time.monotonic() - began), "s", file=sys.stderr, flush=True)
        finally:
            server.end()
    done["seconds"] = round(time.monotonic() - began)
    return table(["what", "number"], done.items())


def one_book(server: ForkedServer, luck: random.Random, kills: int, until: float) -> Counter[str]:
    server.begin_anew()
    began_with, seen = keys_in(server), set[UUID]()
    done: Counter[str] = Counter()
    with writing(server) as members:
        while done["kills"] < kills and time.monotonic() < until:
            [way] = luck.choices(WAYS, WEIGHTS)
            seen |= kill_once(server, members, way, luck)
            done.update(["kills", f"of {way}"])
        wait_for_writes(members, meanwhile=lambda: open_again(server))
    found = reckoned(server, members)
    assert seen <= keys_in(server), "an answered write was there after its kill, and is no more"
    done["answered"] += found.answered
    all_are_whole(server, members, began_with)
    return done


def kill_once(server: ForkedServer, members: list[Member], way: str, luck: random.Random) -> set[UUID]:
    """In the middle of writing: somebody was answered since it opened. What was answered until it was killed."""
    wait_for_writes(members, meanwhile=lambda: open_again(server))
    time.sleep(luck.uniform(*LIFE_S))
    {"a worker": server.kill_a_worker, "the first": server.kill_the_first, "all of it": server.kill_all}[way]()
    answered = {key for member in members for key in list(member.answered)}
    lost = answered - keys_in(server)
    assert not lost, f"{len(lost)} answered writes are lost"
    open_again(server)
    return answered


def open_again(server: ForkedServer) -> None:
    """What began a worker ends of its own will when that one ends as soon as it was begun."""
    if not server.is_open:
        server.open()


def all_are_whole(server: ForkedServer, members: list[Member], began_with: set[UUID]) -> None:
    """One act leaves the same lines each time, and nobody else wrote anything."""
    acts = {key: act for member in members for key, act in [*member.answered.items(), *member.unanswered.items()]}
    unknown = keys_in(server) - began_with - set(acts)
    assert not unknown, f"{len(unknown)} entries were written twice, or by nobody"
    shapes: dict[str, Counter] = defaultdict(Counter)
    for key, lines in lines_of(server).items():
        if key in acts:
            shapes[acts[key]][lines] += 1
    halves = {act: found for act, found in shapes.items() if len(found) > 1}
    assert not halves, f"not all of them are whole: {halves}"


def lines_of(server: ForkedServer) -> dict[UUID, frozenset[tuple[str, int]]]:
    """Of each entry, how many lines it has in each table, but for what keeps a later count where it stood."""
    found: dict[UUID, set[tuple[str, int]]] = defaultdict(set)
    tables = [model._meta.db_table for model in apps.get_models() if issubclass(model, EntryLine)]
    kept = f"WHERE line.kind <> '{Movement.Kind.KEPT}'"
    with read(server) as book:
        for name in tables:
            lines = f"{name} AS line JOIN inventory_entry AS entry ON entry.id = line.entry_id"
            some = kept if name == Movement._meta.db_table else ""
            for key, number in book.execute(f"SELECT entry.key, count(*) FROM {lines} {some} GROUP BY entry.key"):
                found[UUID(str(key))].add((name, number))
    return {key: frozenset(lines) for key, lines in found.items()}
