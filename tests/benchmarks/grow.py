"""
What a book of ten years costs beside one of a thousand movements: `python -m tests.benchmarks.grow 10000000`.

The demo's book is grown by `ten_years` in a folder for each size. Every kind of page that links lead to is timed with
nothing kept, its queries are explained, and what goes through the whole book is timed with the memory that it takes.
`--postgresql` starts a server, unless DATABASE_URL names one whose account may make databases; `--folder FOLDER` keeps
what was grown, and finds it there again; `--only write` writes and measures nothing, `--only verify` is one errand.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from contextlib import ExitStack
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

from tests import postgres

FEW = 1_000
FLOOR, GOAL = 1.5, 1.3
PARTS = ("write", "pages", "verify", "export", "backup")


def main(movements: int, *, folder: Path, url: str, only: list[str]) -> None:
    sizes = sorted({FEW, movements})
    told = [measured(size, folder / f"{size}", url, only) for size in sizes]
    few, many = told[0], told[-1]
    ratios = {name: many["pages"][name] / few["pages"][name] for name in few["pages"].keys() & many["pages"].keys()}
    print(f"{'page':50}{FEW:>15,}{movements:>15,}   ratio (floor {FLOOR}, goal {GOAL})")
    for name in sorted(ratios, key=ratios.__getitem__, reverse=True):
        print(f"{name:50}{1e3 * few['pages'][name]:>12.1f} ms{1e3 * many['pages'][name]:>12.1f} ms{ratios[name]:>8.2f}")
    above = [sum(ratio > most for ratio in ratios.values()) for most in (GOAL, FLOOR)]
    print(f"{len(ratios)} kinds of page, {above[0]} over the goal, {above[1]} over the floor")
    words = "{seconds:.1f} s, {mb_per_s:.1f} MB/s, {mb:+.0f} MB of memory"
    for name in many["errands"]:
        print(f"{name:20}" + "".join(f"{words.format(**each['errands'][name]):>60}" for each in (few, many)))
    print("\n".join(many["whole reads"]))


def measured(size: int, folder: Path, url: str, only: list[str]) -> dict:
    """What a process of its own says of a book of that size, which is written where there is none."""
    folder.mkdir(parents=True, exist_ok=True)
    environ = {**os.environ, "MORDANT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "studio.settings"}
    if url:
        environ["DATABASE_URL"] = database_of(url, size)
    command = [sys.executable, "-m", "tests.benchmarks.grown", str(size), *only]
    done = subprocess.run(command, env=environ, stdout=subprocess.PIPE, text=True, check=True)
    said, _, found = done.stdout.rpartition("\n{")
    print(said, flush=True)
    return json.loads("{" + found)


def database_of(url: str, size: int) -> str:
    name = f"grown_{size}"
    with psycopg.connect(url, autocommit=True) as server:
        if not server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone():
            server.execute(f"CREATE DATABASE {name}")
    return urlsplit(url)._replace(path=f"/{name}").geturl()


def asked_for() -> argparse.Namespace:
    parser = argparse.ArgumentParser()
    parser.add_argument("movements", type=int, nargs="?", default=1_000_000)
    parser.add_argument("--postgresql", action="store_true")
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--only", nargs="+", default=[*PARTS], choices=PARTS)
    return parser.parse_args()


if __name__ == "__main__":
    told = asked_for()
    with ExitStack() as stack:
        folder = told.folder or Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="mordant-grown-")))
        url = os.environ.get("DATABASE_URL", "")
        if told.postgresql and not url:
            url = stack.enter_context(postgres.server())
        main(told.movements, folder=folder.absolute(), url=url, only=told.only)
