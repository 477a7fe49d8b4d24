"""
Three nodes behind a proxy, random writes each read back through every other node; reads per second of one to three.

`.venv/bin/python -m tests.many_nodes [WRITES]`; of the nodes one works through a pool, and all share by Redis.
"""

import os
import random
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from uuid import uuid4

import psycopg

from tests import nodes, postgres
from tests.postgres import free_port

MEMBERS, SECONDS = 4, 10
READ = ("/", "/shelf/", "/book/", "/safety/")


class Member:
    """Somebody with a jar of their own, who knows what must be in it."""

    def __init__(self, number: int, proxy: str, at: list[str], url: str):
        self.ada = nodes.Browser(proxy).sign_in()
        self.at, self.url = at, url
        self.name, self.jar, self.seen = f"Whiting {number}", f"/shelf/c/C{number}/", Counter()
        nodes.fill(self.ada, self.name)
        self.material = self.ada.reached
        self.in_it = [2000]

    def write(self) -> None:
        for address in self.at:  # each node now keeps what stands
            self.look(address)
        note, by = uuid4().hex, random.choice([*self.at, self.ada.address])
        act = random.choice([self.count, self.use, self.strike] if len(self.in_it) > 1 else [self.count, self.use])
        act(note, by)
        for address in random.sample(self.at, len(self.at)):
            if address != by:
                self.look(address)
                if act != self.strike:
                    assert note in self.ada.read("/book/", at=address), f"{address} does not know {note}"
                self.seen[act.__name__] += 1

    def look(self, address: str) -> None:
        for page in (self.jar, self.material):
            told = nodes.on_hand_g(self.ada.read(page, at=address))
            assert told == self.in_it[-1], f"{address}{page} says {told} g, and there are {self.in_it}"

    def count(self, note: str, by: str) -> None:
        grams = random.randrange(1000, 3000)
        self.send("count", f"{grams} g", note, by)
        self.in_it.append(grams)

    def use(self, note: str, by: str) -> None:
        grams = random.randrange(1, 20)
        self.send("use", f"{grams} g", note, by)
        self.in_it.append(self.in_it[-1] - grams)

    def send(self, act: str, amount: str, note: str, by: str) -> None:
        self.ada.send(f"{self.jar}{act}/", {"amount": amount, "note": note}, at=by)
        self.last = note

    def strike(self, note: str, by: str) -> None:
        with psycopg.connect(self.url) as book:
            found = book.execute("SELECT id FROM inventory_entry WHERE note = %s", [self.last]).fetchone()
        assert found, f"{self.last} is not in the book"
        self.ada.send(f"/book/{found[0]}/strike/", {"reason": note}, at=by)
        self.in_it = self.in_it[-2:-1]


def reads_per_second(proxy: str) -> float:
    """As many as so many browsers get one after another."""
    ends, done = time.monotonic() + SECONDS, Counter()
    browsers = [nodes.Browser(proxy).sign_in() for _ in range(MEMBERS)]

    def read(number: int) -> None:
        while time.monotonic() < ends:
            browsers[number].read(random.choice(READ))
            done[number] += 1

    began, ends = time.monotonic(), time.monotonic() + SECONDS
    with ThreadPoolExecutor(MEMBERS) as pool:
        list(pool.map(read, range(MEMBERS)))
    return done.total() / (time.monotonic() - began)


def main(writes: int = 200) -> None:
    with ExitStack() as stack, tempfile.TemporaryDirectory(prefix="mordant-nodes-") as name:
        folder, url = Path(name), stack.enter_context(postgres.server())
        pooled = stack.enter_context(nodes.pool(url, free_port()))
        shared = stack.enter_context(nodes.redis())
        folders = {folder / "1": url, folder / "2": url, folder / "3": pooled}
        three = [node.address for node in stack.enter_context(nodes.at_once(folders, MORDANT_CACHE=shared))]
        nodes.begin(folder / "1", url)
        proxy = stack.enter_context(nodes.proxy(three, folder))
        members, began = [Member(number, proxy, three, url) for number in range(1, MEMBERS + 1)], time.monotonic()
        for _ in range(2):  # what is written at first is made ready by each worker once
            members[0].look(three[0])

        def some(member: Member) -> None:
            for _ in range(writes // MEMBERS):
                member.write()

        with ThreadPoolExecutor(MEMBERS) as pool:
            list(pool.map(some, members))
        seen = sum((member.seen for member in members), Counter())
        told = ", ".join(f"{number} after a {act}" for act, number in sorted(seen.items()))
        took = time.monotonic() - began
        print(f"{writes} writes by {MEMBERS} people in {took:.0f} s, none of them stale at any other node: {told}")
        found = {}
        for number in (1, 2, 3):
            with nodes.proxy(three[:number], folder) as some_of_them:
                found[number] = reads_per_second(some_of_them)
        ratios = ", ".join(f"{number}: {each:.1f} ({each / found[1]:.2f})" for number, each in found.items())
        print(f"reads a second by nodes (as a ratio), all on {os.cpu_count()} cores with their readers: {ratios}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
