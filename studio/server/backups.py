"""
Copies of the whole book, made while people write and checked before they count.

A restore is ready before it touches anything, and one rename (or one transaction) puts the other book in the place of
the present one: whenever it is cut off, one of the two stands whole.
"""

import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import connection, transaction
from django.utils import timezone

from inventory import uploads
from studio.server import postgresql_copy, rows, sqlite_copy
from studio.server.copies import Failed, sync

__all__ = ["Failed", "holds_rows", "make", "restore", "restore_rows"]
DOCUMENTS = "uploads"
STAMP = "%Y-%m-%d-%H%M%S"  # UTC: nodes may stand anywhere
ROWS = "book.jsonl"  # what a book that was taken along holds in the place of a database
RESTORING, REPLACED = ".restoring-", "before-restore-"


def make(folder: Path, *, occasion: str = "book", as_it_is: bool = False) -> Path:
    """
    One zip file with the database and what people brought along. Writers are held up for milliseconds at most.

    as_it_is: whatever the database holds, for whoever looks at the copy later or keeps an empty one.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".draft-") as draft:
            archive = Path(draft) / "archive.zip"
            with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as file:
                # the database first: every document it names was on the disk before it was named
                copy = database_copy().make(Path(draft))
                if not as_it_is:
                    database_copy().refuse_strange(copy)
                file.write(copy, copy.name)
                for _ in pack_documents(file):
                    pass
            refuse_broken(archive)
            archive.chmod(0o600)
            sync(archive)
            kept = archive.rename(unused(folder / f"{occasion}-{now()}.zip"))
        sync(folder)
    except (OSError, sqlite3.Error) as error:
        raise Failed(f"No backup could be made in {folder}: {error}. The book itself was only read.") from error
    return kept


def restore(archive: Path) -> Path:
    """Put the archive's book in the place of the present one; returns where the present one was kept."""
    with (
        saying_which_book_stands(),
        tempfile.TemporaryDirectory(dir=database_copy().folder(), prefix=RESTORING) as name,
    ):
        draft = Path(name)
        refuse_broken(archive)
        with zipfile.ZipFile(archive) as file:
            file.extractall(draft)
        copy = sound_copy(draft)
        kept = database_copy().keep(unused(settings.DATA / f"{REPLACED}{now()}"), make)
        # documents have names of their own: those of both books lie side by side until one of the two has gone
        wanted = {bring_back(path, draft) for path in sorted((draft / DOCUMENTS).rglob("*")) if path.is_file()}
        database_copy().put_in_place(copy)
    for name in set(uploads.kept()) - wanted:
        default_storage.delete(name)
    return kept


def traces_of_restores() -> list[Path]:
    """What a restore keeps of the book before it, and what is left of one that was cut off."""
    folders = {settings.DATA, database_copy().folder()}
    return [path for folder in folders for name in (RESTORING, REPLACED) for path in folder.glob(f"{name}*")]


def holds_rows(archive: Path) -> bool:
    """Whether it is a book that was taken along as rows, for any build and database, and no backup."""
    if not zipfile.is_zipfile(archive):
        return False
    with zipfile.ZipFile(archive) as file:
        return ROWS in file.namelist()


def restore_rows(archive: Path) -> dict[str, int]:
    """Write a book that was taken along into this empty one, all or nothing; returns how many rows of what."""
    refuse_broken(archive)
    with (
        tempfile.TemporaryDirectory(dir=settings.DATA, prefix=RESTORING) as draft,
        zipfile.ZipFile(archive) as file,
        transaction.atomic(),
    ):
        with file.open(ROWS) as lines:
            told = rows.read_rows(lines)
        # inside the transaction: no row stands without the document that it names
        for name in file.namelist():
            if name.startswith(f"{DOCUMENTS}/"):
                document = Path(file.extract(name, draft))
                bring_back(document, Path(draft))
                document.unlink()
    return told


def snapshot():
    """The alias of a connection that reads the book of this moment while people go on writing."""
    return database_copy().snapshot()


def database_copy():
    """How the database in use is copied and put back."""
    return sqlite_copy if connection.vendor == "sqlite" else postgresql_copy


def pack_documents(archive: zipfile.ZipFile) -> Iterator[str]:
    """Each document into the archive, wherever it is kept; they are packed already."""
    for name in uploads.kept():
        stored = zipfile.ZipInfo(f"{DOCUMENTS}/{name}", datetime.now().timetuple()[:6])
        with default_storage.open(name) as document, archive.open(stored, "w") as target:
            shutil.copyfileobj(document, target)
        yield name


def bring_back(document: Path, draft: Path) -> str:
    """A document that was unpacked in a folder, to where it is kept; returns its name."""
    name = document.relative_to(draft / DOCUMENTS).as_posix()
    storage: Any = default_storage  # which is one of ours
    with document.open("rb") as content:
        storage.bring_back(name, content)
    return name


@contextmanager
def saying_which_book_stands():
    """A restore that fails before its last step has changed nothing but a folder that keeps the present book twice."""
    try:
        yield
    except (OSError, NotImplementedError, RuntimeError, sqlite3.Error, zipfile.BadZipFile) as error:
        raise Failed(f"It could not be restored: {error}. The book that was there still stands.") from error


def refuse_unsound(archive: Path) -> None:
    """Refuse what could not be restored here."""
    refuse_broken(archive)
    with tempfile.TemporaryDirectory(dir=archive.parent) as draft, zipfile.ZipFile(archive) as file:
        if database_copy().NAME in file.namelist():
            file.extract(database_copy().NAME, draft)
        sound_copy(Path(draft))


def sound_copy(draft: Path) -> Path:
    """The copy of the database in a folder into which an archive was unpacked."""
    copy: Path = draft / database_copy().NAME
    if not copy.exists():
        raise Failed(f"This backup holds no {copy.name}; it was not made from a book on {connection.display_name}.")
    database_copy().refuse_strange(copy)
    return copy


def refuse_broken(archive: Path) -> None:
    """Refuse what is no zip file, what is damaged, and what would not fit on the disk."""
    try:
        with zipfile.ZipFile(archive) as file:
            needed = sum(each.file_size for each in file.infolist())
            free = shutil.disk_usage(settings.DATA).free
            if needed > free:
                raise Failed(f"{archive} would take {needed:,} bytes, and {free:,} are free.")
            broken = file.testzip()
    # an unknown compression and a password are told by errors of their own
    except (OSError, EOFError, NotImplementedError, RuntimeError, zipfile.BadZipFile, zlib.error) as error:
        raise Failed(f"{archive} cannot be read as a backup: {error}.") from error
    if broken:
        raise Failed(f"{archive} is damaged at {broken}.")


def now() -> str:
    return timezone.now().strftime(STAMP)


def unused(path: Path) -> Path:
    """The same name, or the next one with a number, so that two in one second keep apart."""
    number, candidate = 1, path
    while candidate.exists():
        number += 1
        candidate = path.with_stem(f"{path.stem}-{number}")
    return candidate
