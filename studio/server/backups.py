"""Copies of the whole book, made while people write and checked before they count."""

import os
import shutil
import sqlite3
import subprocess
import tempfile
import zipfile
import zlib
from contextlib import closing
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection

SQLITE_COPY = "book.sqlite3"
POSTGRESQL_COPY = "book.sql"


class Failed(Exception):
    """A backup could not be made or may not be trusted; the message says why."""


def make(folder: Path, *, occasion: str = "book") -> Path:
    """One zip file with the database and the uploaded sheets. Writers are held up for milliseconds at most."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder, prefix=".draft-") as draft:
        archive = Path(draft) / "archive.zip"
        with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as file:
            # the database first: every sheet it names was on the disk before it was named
            file.write(*_copy_database(Path(draft)))
            for sheet in sorted(path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()):
                file.write(sheet, Path("uploads") / sheet.relative_to(settings.MEDIA_ROOT))
        _refuse_broken(archive)
        archive.chmod(0o600)
        return archive.rename(_unused(folder / f"{occasion}-{_now()}.zip"))


def restore(archive: Path) -> Path:
    """Put the archive's book in the place of the present one; returns where the present one was kept."""
    _refuse_broken(archive)
    with (
        tempfile.TemporaryDirectory(dir=settings.DATA, prefix=".restoring-") as draft,
        zipfile.ZipFile(archive) as file,
    ):
        file.extractall(draft)
        if connection.vendor == "sqlite":
            return _restore_sqlite(Path(draft))
        return _restore_postgresql(Path(draft))


def _copy_database(draft: Path) -> tuple[Path, str]:
    if connection.vendor == "sqlite":
        return _copy_sqlite(draft / SQLITE_COPY), SQLITE_COPY
    return _dump_postgresql(draft / POSTGRESQL_COPY), POSTGRESQL_COPY


def _copy_sqlite(target: Path) -> Path:
    with closing(sqlite3.connect(connection.settings_dict["NAME"])) as book, closing(sqlite3.connect(target)) as copy:
        book.backup(copy)  # all pages in one step: in several, each write would send it back to the first page
        copy.execute("PRAGMA journal_mode = DELETE")
    _refuse_unsound(target)
    return target


def _refuse_unsound(book: Path) -> None:
    with closing(sqlite3.connect(book)) as copy:
        try:
            verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
            stray = copy.execute("PRAGMA foreign_key_check").fetchall()
        except sqlite3.DatabaseError as error:
            raise Failed(f"{book.name} is not a sound database: {error}.") from error
    if verdict != "ok" or stray:
        raise Failed(f"{book.name} is not a sound database: {verdict}, {len(stray)} lines point at nothing.")


def _refuse_broken(archive: Path) -> None:
    try:
        with zipfile.ZipFile(archive) as file:
            broken = file.testzip()
    except (OSError, EOFError, zipfile.BadZipFile, zlib.error) as error:
        raise Failed(f"{archive} cannot be read as a backup: {error}.") from error
    if broken:
        raise Failed(f"{archive} is damaged at {broken}.")


def _restore_sqlite(draft: Path) -> Path:
    copy = draft / SQLITE_COPY
    if not copy.exists():
        raise Failed(f"This backup holds no {SQLITE_COPY}; it was not made from a SQLite book.")
    _refuse_unsound(copy)
    kept = _set_aside()
    copy.rename(connection.settings_dict["NAME"])
    _restore_uploads(draft)
    return kept


def _set_aside() -> Path:
    """Move the SQLite book and its sheets into a folder of their own: nothing is deleted."""
    connection.close()
    folder = _unused(settings.DATA / f"before-restore-{_now()}")
    folder.mkdir(mode=0o700)
    book = Path(connection.settings_dict["NAME"])
    for path in [*book.parent.glob(f"{book.name}*"), settings.MEDIA_ROOT]:  # a journal belongs to its database
        if path.exists():
            shutil.move(path, folder / path.name)
    return folder


def _restore_uploads(draft: Path) -> None:
    if (draft / "uploads").exists():
        shutil.move(draft / "uploads", settings.MEDIA_ROOT)


def _dump_postgresql(target: Path) -> Path:
    _run_client("pg_dump", "--format=plain", "--no-owner", "--no-privileges", f"--file={target}")
    return target


def _restore_postgresql(draft: Path) -> Path:
    copy = draft / POSTGRESQL_COPY
    if not copy.exists():
        raise Failed(f"This backup holds no {POSTGRESQL_COPY}; it was not made from a PostgreSQL book.")
    kept = make(settings.DATA / "backups", occasion="before-restore")
    with connection.cursor() as cursor:
        tables = [connection.ops.quote_name(table) for table in connection.introspection.table_names(cursor)]
    connection.close()
    clearing = draft / "clearing.sql"
    clearing.write_text("".join(f"DROP TABLE {table} CASCADE;\n" for table in tables))
    once = ["--quiet", "--set=ON_ERROR_STOP=1", "--single-transaction"]  # all of it or nothing
    _run_client("psql", *once, f"--file={clearing}", f"--file={copy}")
    shutil.rmtree(settings.MEDIA_ROOT, ignore_errors=True)
    _restore_uploads(draft)
    return kept


def _run_client(program: str, *options: str) -> None:
    """Run one of PostgreSQL's own programs on the book's database."""
    (_, *address), environ = connection.client.settings_to_cmd_args_env(connection.settings_dict, [])
    if not shutil.which(program):
        line = " ".join([program, *options, *address])
        raise Failed(f"{program} was not found. Where PostgreSQL's programs are, run: {line}")
    command = [program, *options, *address]
    done = subprocess.run(command, env={**os.environ, **(environ or {})}, capture_output=True, text=True, check=False)
    if done.returncode:
        raise Failed(f"{program} could not do it: {done.stderr.strip()}")


def _now() -> str:
    return datetime.now().strftime("%Y-%m-%d-%H%M%S")


def _unused(path: Path) -> Path:
    """The same name, or the next one with a number, so that two in one second keep apart."""
    number = 1
    candidate = path
    while candidate.exists():
        number += 1
        candidate = path.with_stem(f"{path.stem}-{number}")
    return candidate
