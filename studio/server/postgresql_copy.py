"""
A PostgreSQL book written out by pg_dump, and read back through the book's own connection.

psql would read it too, but it also does what a line of a file tells it to do to the machine; a backup is data. So do
some statements of the server's own, such as those that call a program: only those a dump of a book holds are run.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection, connections, transaction

from studio.server.copies import Failed, refuse_strange_migrations
from studio.server.database import another_connection, is_pooled

NAME = "book.sql"
END_OF_ROWS = "\\."
OF_A_BOOK = re.compile(
    r"SET |SELECT pg_catalog\.(set_config|setval)\(|COPY [^;]* FROM stdin;$|COMMENT ON "
    r"|(CREATE|ALTER) (UNLOGGED )?(TABLE|SEQUENCE) |CREATE (UNIQUE )?INDEX "
)
# newer dumps forbid psql what is not read here anyway
FORBIDDING_PSQL = ("\\restrict ", "\\unrestrict ")


def folder() -> Path:
    return settings.DATA


def make(draft: Path) -> Path:
    """All tables in one text file."""
    target = draft / NAME
    run_client("pg_dump", "--format=plain", "--no-owner", "--no-privileges", f"--file={target}")
    return target


@contextmanager
def snapshot() -> Iterator[str]:
    """The alias of a connection that reads the book of this moment while people go on writing."""
    import psycopg

    of_one_moment = {"isolation_level": psycopg.IsolationLevel.REPEATABLE_READ}
    known = connection.settings_dict
    # one transaction has one connection, also behind a pool: cursors may stay with the server
    changed = {**known, "OPTIONS": {**known["OPTIONS"], **of_one_moment}, "DISABLE_SERVER_SIDE_CURSORS": False}
    with another_connection(changed) as alias, transaction.atomic(using=alias):
        with connections[alias].cursor() as cursor:
            cursor.execute("SELECT 1")  # the moment is that of the first question
        yield alias


def refuse_strange(copy: Path) -> None:
    """Refuse what is no dump of a book or one of a newer build, before a table is touched."""
    written: list[tuple[str, str]] = []
    for statement, rows in statements(copy):
        if "django_migrations" in statement.partition("(")[0] and rows is not None:
            written = [(row.split("\t")[1], row.split("\t")[2]) for row in rows]
    refuse_strange_migrations(written)


def keep(kept: Path, make_backup: Callable[..., Path]) -> Path:
    """The present book as a backup of its own."""
    return make_backup(settings.DATA / "backups", occasion="before-restore", as_it_is=True)


def put_in_place(copy: Path) -> None:
    """All tables go and the copy's come, in one transaction."""
    # here, or every book on SQLite would load it
    import psycopg

    with connection.cursor() as cursor:
        tables = [connection.ops.quote_name(table) for table in connection.introspection.table_names(cursor)]
    try:
        with transaction.atomic(), psycopg.Cursor(connection.connection) as cursor:
            for table in tables:
                cursor.execute(f"DROP TABLE {table} CASCADE")
            for statement, rows in statements(copy):
                if rows is None:
                    cursor.execute(statement, binary=True)  # by the protocol that takes one statement at a time
                else:
                    with cursor.copy(statement) as target:
                        for row in rows:
                            target.write(row + "\n")
    except psycopg.Error as error:
        raise Failed(f"PostgreSQL would not take it: {error}. The book that was there still stands.") from error
    finally:
        connection.close()  # a dump leaves its own settings behind


def statements(dump: Path) -> Iterator[tuple[str, Iterator[str] | None]]:
    """Each statement of a plain dump; one that brings rows comes with them, to be read before the next statement."""
    with dump.open(encoding="utf-8", newline="\n") as file:
        lines = (line.rstrip("\n") for line in file)
        said: list[str] = []
        for line in lines:
            if not said and (not line or line.startswith(("--", *FORBIDDING_PSQL))):
                continue
            if "\\" in line:
                raise Failed(f"{dump.name} holds a command beside its data: {line[:60]}")
            said.append(line)
            if not line.endswith(";"):
                continue
            statement, said = "\n".join(said), []
            if not OF_A_BOOK.match(statement):
                raise Failed(f"{dump.name} holds what no copy of a book does: {statement[:60]}")
            if statement.startswith("COPY ") and statement.endswith(" FROM stdin;"):
                rows = iter(lines.__next__, END_OF_ROWS)
                yield statement, rows
                for _ in rows:  # whoever asked did not want them
                    pass
            else:
                yield statement, None


def run_client(program: str, *options: str) -> None:
    """Run one of PostgreSQL's own programs on the book's database, past any pool: what they set would stay in it."""
    connection.ensure_connection()
    if settings.DIRECT_DATABASE is None and is_pooled(connection):
        raise Failed(f"{program} cannot work through a pool: name the server itself in DATABASE_DIRECT_URL.")
    there = settings.DIRECT_DATABASE or connection.settings_dict
    (_, *address), environ = connection.client.settings_to_cmd_args_env(there, [])
    command = [program, *options, *address]
    if not shutil.which(program):
        raise Failed(f"{program} was not found. Where PostgreSQL's programs are, run: {' '.join(command)}")
    done = subprocess.run(command, env={**os.environ, **(environ or {})}, capture_output=True, text=True, check=False)
    if done.returncode:
        raise Failed(f"{program} could not do it: {done.stderr.strip()}")
