"""A SQLite book copied while people write, and put back by one rename."""

import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.core.files.storage import default_storage
from django.db import connection

from inventory import uploads
from studio.server.copies import Failed, refuse_strange_migrations, sync
from studio.server.database import another_connection

NAME = "book.sqlite3"


def book() -> Path:
    return Path(connection.settings_dict["NAME"])


def folder() -> Path:
    """Where a book is made ready: a rename is one step only within one file system."""
    return book().parent


def make(draft: Path) -> Path:
    target = draft / NAME
    copy_to(target)
    return target


def copy_to(target: Path) -> None:
    with closing(sqlite3.connect(book())) as source, closing(sqlite3.connect(target)) as copy:
        # all pages in one step: in several, each write would send it back to the first page
        source.backup(copy)
        copy.execute("PRAGMA journal_mode = DELETE")


@contextmanager
def snapshot() -> Iterator[str]:
    """The alias of a connection that reads the book of this moment while people go on writing."""
    with tempfile.TemporaryDirectory(dir=folder(), prefix=".reading-") as name:
        # a long look at the book itself would keep everybody from writing
        copy_to(copy := Path(name) / NAME)
        with another_connection({**connection.settings_dict, "NAME": copy}) as alias:
            yield alias


def refuse_strange(copy: Path) -> None:
    """Refuse what is unsound, empty, of another program or of a newer build."""
    with closing(sqlite3.connect(copy)) as opened:
        try:
            verdict = opened.execute("PRAGMA integrity_check").fetchone()[0]
            stray = opened.execute("PRAGMA foreign_key_check").fetchall()
            is_book = opened.execute("SELECT 1 FROM sqlite_master WHERE name = 'django_migrations'").fetchone()
            written = opened.execute("SELECT app, name FROM django_migrations").fetchall() if is_book else []
        except sqlite3.DatabaseError as error:
            raise Failed(f"{copy.name} is not a sound database: {error}.") from error
    if verdict != "ok" or stray:
        raise Failed(f"{copy.name} is not a sound database: {verdict}, {len(stray)} lines point at nothing.")
    refuse_strange_migrations(written)


def keep(kept: Path, _: Callable) -> Path:
    """The present book and its documents in a folder of their own, even if the book can no longer be read."""
    connection.close()
    kept.mkdir(mode=0o700)
    if book().exists():
        try:
            copy_to(kept / book().name)
        except sqlite3.DatabaseError:
            # a journal belongs to its database: without it the copy would be of a torn book
            for path in book().parent.glob(f"{book().name}*"):
                shutil.copy2(path, kept / path.name)
    for name in uploads.kept():
        target = kept / "uploads" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        with default_storage.open(name) as document, target.open("wb") as file:
            shutil.copyfileobj(document, file)
    return kept


def put_in_place(copy: Path) -> None:
    """From one moment to the next the other book is the book."""
    connection.close()
    if book().exists():
        leave_no_journal()
    copy.chmod(0o600)
    sync(copy)
    copy.replace(book())
    try:
        sync(book().parent)
    except OSError as error:
        raise Failed(f"The restored book stands, but the disk did not confirm it: {error}.") from error


def leave_no_journal() -> None:
    """A journal that outlived its database would be played into the next one."""
    try:
        with closing(sqlite3.connect(book())) as present:
            present.execute("PRAGMA journal_mode = DELETE").fetchone()
    except sqlite3.DatabaseError:  # kept as it was, journal and all
        for journal in ("-journal", "-wal", "-shm"):
            book().with_name(book().name + journal).unlink(missing_ok=True)
