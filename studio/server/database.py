"""Which database keeps the book, and how it is told to lose nothing."""

import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import dj_database_url
from django.apps import apps
from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, connections, transaction
from django.db.utils import load_backend
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.server import locking
from studio.server.copies import Failed

POSTGRESQL = "django.db.backends.postgresql"
SQLITE = "django.db.backends.sqlite3"
MOUNTS = Path("/proc/self/mounts")
# no longer than whoever sent a form will wait for its answer: for a row that another holds, and for one statement
MOST_WAITED_S, LONGEST_STATEMENT_S = 20, 60
# SQLite's primary result codes, then lock_not_available, query_canceled, deadlock_detected; disk_full;
# read_only_sql_transaction. Source: PostgreSQL documentation, Appendix A (from memory)
NOT_WRITTEN = (
    (
        {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, "55P03", "57014", "40P01"},
        gettext_lazy("Others were writing for so long that this is not written yet. Send it again."),
    ),
    (
        {sqlite3.SQLITE_FULL, "53100"},
        gettext_lazy("The disk is full: this is not written. Whoever keeps the book makes room, then send it again."),
    ),
    (
        {sqlite3.SQLITE_READONLY, "25006"},
        gettext_lazy("The book can only be read just now: this is not written. Tell whoever keeps it."),
    ),
)
# of a server that has gone, or a network that is cut: to reach it, and to notice that nothing comes any more
CONNECT_S, SILENT_S = 5, 20
UNLIMITED = ("lock", "statement", "idle_in_transaction_session")
OPEN = "nodes"  # what those that have the book open hold together
WHOLE_UPDATE_S = 24 * 3600
FEW = 50_000  # lines of a kind; of more SQLite is told nothing, and takes them for a million
LOOKED_AT = 400  # rows of each index, as SQLite's documentation has it (sqlite.org, ANALYZE)
# of an empty table SQLite notes nothing, and takes it for one of a thousand rows or a million
EMPTY_TOO = """
INSERT INTO sqlite_stat1 (tbl, idx, stat) SELECT tbl_name, CASE type WHEN 'index' THEN name END, '1 1'
FROM sqlite_schema WHERE tbl_name = %s AND tbl_name NOT IN (SELECT tbl FROM sqlite_stat1)
"""
NETWORK_DRIVES = {"9p", "afs", "ceph", "cifs", "fuse.sshfs", "ncpfs", "nfs", "nfs4", "smb3", "smbfs"}


def from_url(url: str, *, data: Path) -> dict:
    """The database of DATABASE_URL; without one, a SQLite file in the data folder."""
    if not url:
        return sqlite(data / "mordant.sqlite3")
    parsed: dict = {**dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True)}
    if parsed["ENGINE"] == SQLITE:
        return sqlite(Path(parsed["NAME"]))
    if parsed["ENGINE"] != POSTGRESQL:
        raise ImproperlyConfigured("DATABASE_URL must begin with postgres:// or sqlite://")
    patience = {"connect_timeout": CONNECT_S, "keepalives_idle": SILENT_S, "tcp_user_timeout": SILENT_S * 1000}
    # a pool gives the next statement another connection, which knows no cursor of the one before
    return {**parsed, "OPTIONS": patience | parsed.get("OPTIONS", {}), "DISABLE_SERVER_SIDE_CURSORS": True}


@contextmanager
def another_connection(database: dict[str, Any], alias: str = "beside") -> Iterator[str]:
    """The alias of a second connection, in this thread alone; database: as from `from_url`, or one changed a little."""
    whole = connections.configure_settings({"default": dict(database)})["default"]
    connections[alias] = load_backend(whole["ENGINE"]).DatabaseWrapper(whole, alias)
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]


def limit_waiting(*, connection: Any, **signal: Any) -> None:
    """
    Have PostgreSQL end what waits or works too long for a page, so that one stuck page holds up nobody.

    Received whenever a connection opens in a process that answers pages; commands take the time that they need. Behind
    a pool each transaction says it for itself: what was said to a connection would hold for whoever has it next.
    """
    if connection.vendor == "sqlite":
        return
    if not is_pooled(connection):
        connection.connection.execute(limits("SET"))
    elif limit_transaction not in connection.execute_wrappers:
        connection.execute_wrappers.append(limit_transaction)


def limits(how: str) -> str:
    return f"{how} lock_timeout = '{MOST_WAITED_S}s'; {how} statement_timeout = '{LONGEST_STATEMENT_S}s'"


def is_pooled(connection: Any) -> bool:
    """Whether a pool stands before PostgreSQL: what answers calls itself by another number than who works."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        return bool(cursor.fetchone()[0] != connection.connection.info.backend_pid)


def limit_transaction(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: dict[str, Any]) -> Any:
    """Around every statement of a pooled connection: the first one of a transaction is preceded by its limits."""
    opened = context["connection"]
    if opened.in_atomic_block and not opened.connection.info.transaction_status:
        opened.connection.execute(limits("SET LOCAL"))
    return execute(sql, params, many, context)


@contextmanager
def alone(what: str, *, waiting: str = "") -> Iterator[bool]:
    """
    Whether nobody else, in whatever process of whatever node, is at it too; they are not until this ends.

    waiting: said once while somebody is; then it waits for its turn instead of answering.
    """
    if connection.vendor == "sqlite":
        patience_s = WHOLE_UPDATE_S if waiting else 0
        with locking.tried(settings.DATA / f"{what}.lock", patience_s=patience_s, waiting=waiting) as is_ours:
            yield is_ours
        return
    # by a connection of its own, in a transaction that does nothing else: a pool keeps both together
    holder = connection.copy()
    try:
        holder.set_autocommit(False)
        with holder.cursor() as cursor:
            cursor.execute("; ".join(f"SET LOCAL {limit}_timeout = 0" for limit in UNLIMITED))
            cursor.execute("SELECT pg_try_advisory_xact_lock(hashtext(%s))", [f"mordant {what}"])
            is_ours = cursor.fetchone()[0]
            if waiting and not is_ours:
                print(waiting, flush=True)
                cursor.execute("SELECT pg_advisory_xact_lock(hashtext(%s))", [f"mordant {what}"])
                is_ours = True
        yield is_ours
    finally:
        holder.close()


@contextmanager
def open_here() -> Iterator[Callable[[], object]]:
    """
    No node restores the book meanwhile; whoever begins while one does waits for its end.

    What is yielded fails once the database has gone. A transaction that has asked nothing keeps nothing from being
    cleared away, however long it lasts.
    """
    there = settings.DIRECT_DATABASE or connection.settings_dict
    with another_connection(there, OPEN) as alias, transaction.atomic(using=alias):
        cursor = connections[alias].cursor()
        cursor.execute("; ".join(f"SET LOCAL {limit}_timeout = 0" for limit in UNLIMITED))
        cursor.execute("SELECT pg_advisory_xact_lock_shared(hashtext(%s))", [f"mordant {OPEN}"])
        yield lambda: cursor.execute("SELECT 1")


@contextmanager
def closed_elsewhere() -> Iterator[None]:
    """Refuse (Failed) what would pull the book from under another node that has it open."""
    with alone(OPEN) as is_ours:
        if not is_ours:
            raise Failed("The book is open at another node: close all of them first, then restore it.")
        yield


def why_not_written(error: DatabaseError) -> str:
    """The sentence for a statement after which nothing of its transaction is written; empty where that is not known."""
    cause = error.__cause__
    code = getattr(cause, "sqlite_errorcode", None) if isinstance(cause, sqlite3.Error) else None
    reason = code & 0xFF if code else getattr(cause, "sqlstate", None)  # SQLite's longer codes end in the plain one
    return next((str(said) for codes, said in NOT_WRITTEN if reason in codes), "")


def sqlite(path: Path) -> dict:
    # tables look for PostgreSQL's own fields, and with them all of psycopg would be loaded: 14 MB for no row at all
    sys.modules.setdefault("django.contrib.postgres.fields", None)  # type: ignore[arg-type]  # as Python says "none"
    return {
        "ENGINE": SQLITE,
        "NAME": path,
        # opening the file anew costs more than most pages; the server's threads keep theirs
        "CONN_MAX_AGE": None,
        "OPTIONS": {
            # a transaction that began by reading could not be told to wait
            "transaction_mode": "IMMEDIATE",
            "timeout": MOST_WAITED_S,
            # SQLite's own plan of each is kept: a walk over the pages asks several hundred, and Python keeps 128
            "cached_statements": 500,
            # an answered write survives a power cut; FULL leaves a deleted journal's folder to the system's leisure,
            # and a journal that comes back with the power would roll the write back
            "init_command": "PRAGMA synchronous = EXTRA",
        },
        # a file, or locking and the journal would go untested
        "TEST": {"NAME": path.with_name("test.sqlite3")},
    }


def wal_is_sound(version: tuple[int, ...] = sqlite3.sqlite_version_info) -> bool:
    """
    Whether this SQLite may use its write-ahead log.

    From 3.7.0 on, two connections in WAL mode could, rarely, lose commits.
    Fixed in 3.51.3 and, for older lines, in 3.50.7 and 3.44.6. Source: sqlite.org, release history of 3.53.0.
    """
    return version >= (3, 51, 3) or (3, 50, 7) <= version < (3, 51) or (3, 44, 6) <= version < (3, 45)


def settle_journal() -> None:
    """Give the file the journal this SQLite can be trusted with; it keeps it until it is told otherwise."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA journal_mode = {'WAL' if wal_is_sound() else 'DELETE'}")


def keep_from_others() -> None:
    """The file of a SQLite book is its owner's alone, also one that an earlier build made."""
    if connection.vendor == "sqlite":
        book = Path(connection.settings_dict["NAME"])
        for path in book.parent.glob(f"{book.name}*"):
            with suppress(PermissionError):  # of somebody else, who lets this one write
                path.chmod(0o600)


def survey(using: str = DEFAULT_DB_ALIAS) -> None:
    """
    Have the database look over its tables: after much was written at once, and once a day.

    Until it has, PostgreSQL plans as if they were empty, which turns milliseconds into minutes, and looks by itself
    only some time after the transaction. SQLite, which never does, takes all for equally large, and goes through every
    entry in search of a few lines. It is told of the lines alone: where it knows that people are few it sorts all that
    each of them did, and where it knows the entries it reads them all to make itself a filter.
    """
    from inventory.append_only import AppendOnlyModel  # settings ask for this module before there are models
    from inventory.models import Entry

    with transaction.atomic(using=using), connections[using].cursor() as cursor:
        if connections[using].vendor == "postgresql":
            cursor.execute("ANALYZE")
            return
        # made anew, or whoever has the book open would go on by what was known before
        cursor.execute("DROP TABLE IF EXISTS sqlite_stat1")
        cursor.execute(f"PRAGMA analysis_limit = {LOOKED_AT}")
        for model in apps.get_models():
            if issubclass(model, AppendOnlyModel) and model is not Entry:
                cursor.execute(f"ANALYZE {model._meta.db_table}")
                cursor.execute(EMPTY_TOO, [model._meta.db_table])
        # what is many may be more than a million, and then it would begin with the entries
        cursor.execute("DELETE FROM sqlite_stat1 WHERE CAST(stat AS INTEGER) > %s", [FEW])
        cursor.execute("ANALYZE sqlite_schema")  # which reads what is known, and no more


def described() -> str:
    """What keeps the book and how, for the Studio page: what it is good for, then the details."""
    with connection.cursor() as cursor:
        if connection.vendor != "sqlite":
            cursor.execute("SHOW server_version")
            return f"PostgreSQL {cursor.fetchone()[0]}"
        cursor.execute("PRAGMA journal_mode")
        journal = cursor.fetchone()[0].upper()
    words = _(
        "What was answered as written survives a power cut. SQLite %(version)s, %(journal)s journal, synchronous EXTRA"
    )
    if not wal_is_sound():
        words = _(
            "What was answered as written survives a power cut. SQLite %(version)s, %(journal)s journal, because this "
            "SQLite lacks the repair that makes WAL sound, synchronous EXTRA"
        )
    return words % {"version": sqlite3.sqlite_version, "journal": journal}


def network_drive(path: Path) -> str | None:
    """The kind of network drive a file lies on, where the system says: SQLite's locks cannot be trusted there."""
    if not MOUNTS.exists():
        return None
    mounts = [line.split()[1:3] for line in MOUNTS.read_text().splitlines()]
    above = [(where, kind) for where, kind in mounts if path.is_relative_to(where.replace("\\040", " "))]
    where, kind = max(above, key=lambda mount: len(mount[0]), default=("", ""))
    return kind if kind in NETWORK_DRIVES else None
