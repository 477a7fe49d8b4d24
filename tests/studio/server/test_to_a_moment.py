"""PostgreSQL goes back to a moment between two backups, by the lines that the README gives."""

import re
import shutil
import subprocess
import time
from datetime import UTC, datetime
from urllib.parse import urlsplit

import psycopg
import pytest

from studio.server.bootstrap import ROOT
from tests import postgres

pytestmark = pytest.mark.nodes
PARAGRAPH = next(line for line in (ROOT / "README.md").read_text().splitlines() if line.startswith("**To a moment**"))


def told(name):
    """A setting as the README has it, with folders of the test in the place of its own."""
    [line] = re.findall(rf"`({name} = [^`]+)`", PARAGRAPH)
    return line.replace("/archive", "{folder}/archive")


def test_what_was_written_until_a_moment_comes_back_and_nothing_after_it():
    archiving = "\n".join(map(told, ("archive_mode", "archive_command")))
    with postgres.server(settings=f"{archiving}\n") as url:
        folder, port = postgres.folder_of(url), urlsplit(url).port
        for name in ("archive", "base"):
            (folder / name).mkdir(mode=0o700)
            postgres.unprivileged(folder / name)
        [base] = re.findall(r"`(pg_basebackup [^`]+)`", PARAGRAPH)
        command = base.replace("/base/DAY", f"{folder}/base").split()
        subprocess.run([*command, "-d", url], check=True, cwd="/", **postgres.unprivileged())
        write(url, "well written")
        moment = datetime.now(UTC)
        time.sleep(0.1)
        write(url, "a mistake")
        with psycopg.connect(url, autocommit=True) as book:
            book.execute("SELECT pg_switch_wal()")

        postgres.stop(folder, "fast")
        (folder / "cluster").rename(folder / "aside")
        shutil.move(folder / "base", folder / "cluster")
        recovery = [told("restore_command").format(folder=folder), f"recovery_target_time = '{moment}'"]
        with (folder / "cluster" / "postgresql.conf").open("a") as file:
            file.write("\n".join([*recovery, told("recovery_target_action"), ""]))
        (folder / "cluster" / "recovery.signal").touch()
        postgres.unprivileged(folder / "cluster" / "recovery.signal")
        postgres.start(folder, port)

        with psycopg.connect(url) as book:
            assert book.execute("SELECT words FROM written").fetchall() == [("well written",)]


def write(url, words):
    with psycopg.connect(url) as book:
        book.execute("CREATE TABLE IF NOT EXISTS written (words text)")
        book.execute("INSERT INTO written VALUES (%s)", [words])
