"""Files that people bring along: kept with the line that names them, and gone where that line was not written."""

import errno
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import timedelta
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext as _

HALF_WRITTEN = ".restoring"
JUST_BROUGHT = timedelta(hours=1)
unwritten: ContextVar[list[str] | None] = ContextVar("unwritten", default=None)


class Noted:
    """What every storage of documents does, wherever it keeps them."""

    def _save(self, name: str, content: Any) -> str:
        kept: str = super()._save(name, content)  # type: ignore[misc]  # it stands beside a storage, which has it
        names = unwritten.get()
        if names is not None:
            names.append(kept)
        return kept

    def bring_back(self, name: str, content: IO[bytes]) -> None:
        """Keep a document under the name that the book has for it."""
        raise NotImplementedError

    def fetch(self, name: str, target: Path) -> None:
        """A document, as it is kept, into a file."""
        with self.open(name) as document, target.open("wb") as file:  # type: ignore[attr-defined]  # as above
            shutil.copyfileobj(document, file)


class Uploads(Noted, FileSystemStorage):
    """In a folder; `STORAGES` names it."""

    @property
    def place(self) -> str:
        return str(self.location)

    def bring_back(self, name: str, content: IO[bytes]) -> None:
        target = Path(self.path(name))
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        # whole and on the disk before anything names it
        beside = target.with_name(f".{target.name}{HALF_WRITTEN}")
        with open(beside, "wb", opener=lambda path, flags: os.open(path, flags, 0o600)) as file:
            shutil.copyfileobj(content, file)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)


def kept(folder: str = "") -> Iterator[str]:
    """The names of all documents, those of a folder together."""
    try:
        folders, files = default_storage.listdir(folder)
    except FileNotFoundError:
        return
    yield from sorted(os.path.join(folder, name) for name in files if name)
    for inner in sorted(folders):
        yield from kept(os.path.join(folder, inner))


def named() -> Iterator[tuple[str, str]]:
    """Each file that a row names, and the row in words; those of struck lines too, which stay readable."""
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if isinstance(field, models.FileField):
                rows = model._base_manager.exclude(**{field.name: ""}).values_list("pk", field.name).order_by("pk")
                for pk, name in rows.iterator():
                    yield name, f"{model._meta.verbose_name} {pk}"


def missing() -> Iterator[str]:
    """Sentences about documents that the book names and that are not there any more."""
    there = set(kept())
    for name, row in named():
        if name not in there:
            yield f"the file of {row} is gone: {name}"


def unnamed() -> list[str]:
    """Documents that no row names; one that was brought along just now may be named in a moment."""
    told = {name for name, _ in named()}
    until = timezone.now() - JUST_BROUGHT
    return [name for name in kept() if name not in told and default_storage.get_modified_time(name) < until]


def why_not_kept(error: OSError) -> str:
    """The sentence for a file that the disk would not take, without which its line is not written either."""
    if error.errno not in (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES):
        return ""
    return _("The disk takes no more files: this is not written. Tell whoever keeps the book, then send it again.")


@contextmanager
def gone_unless_written() -> Iterator[None]:
    """A database takes back what it was told in a transaction that fails; a folder does not."""
    names: list[str] = []
    around = unwritten.get()
    outside = unwritten.set(names)
    try:
        yield
    except BaseException:
        for name in names:
            default_storage.delete(name)
        raise
    finally:
        unwritten.reset(outside)
    if around is not None:
        around.extend(names)
