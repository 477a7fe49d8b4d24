"""
A SQLite book with bytes flipped in its file: `verify` names it, or nothing that the book says has changed; a start
opens or says a sentence; and nobody meets a traceback.
"""

import shutil
import sqlite3
import subprocess
import tempfile
from collections import Counter
from contextlib import closing
from pathlib import Path
from random import Random
from time import perf_counter

from tests.campaigns.members import THIS_CHECKOUT, environ_of_nobody
from tests.campaigns.table import table
from tests.postgres import free_port
from tests.studio.opened import Opened

SHORT, LONG, STARTS = 6, 400, 1
HEADER_BYTES = 100
# what is kept for pages and for the door, and works itself out anew or ends by itself
NOT_THE_BOOK = ("django_", "auth_", "axes_", "otp_", "people_session", "sqlite_")


def run(*, long: bool = False, seed: int = 0, url: str = "", only: str = "") -> str:
    luck, began, counted = Random(seed), perf_counter(), Counter()
    with tempfile.TemporaryDirectory(prefix="mordant-damage-") as name:
        sound = Path(name) / "sound"
        filled(sound)
        before = rows_of(sound)
        for number in range(LONG if long else SHORT):
            torn = Path(name) / "torn"
            shutil.copytree(sound, torn)
            where = flip(torn / "mordant.sqlite3", luck, in_header=number % 8 == 0)
            code, said = told(torn, "verify")
            assert "Traceback" not in said, f"{where}: {said}"
            if code:
                counted["named by verify"] += 1
            else:
                differing = apart(before, rows_of(torn))
                kept = {table for table in differing if not table.startswith(NOT_THE_BOOK)}
                assert not kept, f"{where}: verify says {said}, and these differ: {kept}"
                counted["nothing that the book says has changed" if not differing else "beside the book"] += 1
            if number < STARTS or long and number % 20 == 0:
                counted[f"a start {starting(torn, where)}"] += 1
            shutil.rmtree(torn)
    return table(["what came of it", "files"], sorted(counted.items())) + f"\n{perf_counter() - began:.0f} s"


def filled(data: Path) -> None:
    """The demo's year, sealed."""
    for command in (["migrate", "--verbosity", "0"], ["demo"]):
        code, said = told(data, *command)
        assert not code, said
    code, said = told(data, "shell", "--command", "from inventory import seals; seals.seal()")
    assert not code, said


def flip(book: Path, luck: Random, *, in_header: bool) -> str:
    content = bytearray(book.read_bytes())
    last = HEADER_BYTES if in_header else len(content)
    places = [luck.randrange(last) for _ in range(luck.choice([1, 1, 8]))]
    for place in places:
        content[place] ^= luck.randrange(1, 256)
    book.write_bytes(content)
    return f"bytes {places}"


def told(data: Path, *command: str) -> tuple[int, str]:
    environ = {**environ_of_nobody(), "MORDANT_DATA": str(data), "MORDANT_NO_BOOTSTRAP": "1"}
    done = subprocess.run([*THIS_CHECKOUT, *command], env=environ, capture_output=True, text=True, check=False)
    return done.returncode, (done.stdout + done.stderr).strip()


def rows_of(data: Path) -> dict[str, list]:
    with closing(sqlite3.connect(data / "mordant.sqlite3")) as book:
        book.text_factory = bytes
        names = [name.decode() for (name,) in book.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {name: book.execute(f'SELECT * FROM "{name}"').fetchall() for name in names}


def apart(one: dict[str, list], other: dict[str, list]) -> set[str]:
    return {name for name in one.keys() | other.keys() if one.get(name) != other.get(name)}


def starting(data: Path, where: str) -> str:
    opened = Opened(data, "--empty", MORDANT_NO_BOOTSTRAP="1", MORDANT_BIND=f"127.0.0.1:{free_port()}")
    if opened.address:
        opened.process.kill()
    opened.ended()
    assert "Traceback" not in opened.said, f"{where}: {opened.said}"
    return "opens" if opened.address else "says why it does not open"
