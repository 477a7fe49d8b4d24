"""Files that people bring along: kept with the line that names them, and gone where that line was not written."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.core.files.storage import FileSystemStorage, default_storage

unwritten: ContextVar[list[str] | None] = ContextVar("unwritten", default=None)


class Uploads(FileSystemStorage):
    """`STORAGES` names it."""

    def _save(self, name: str, content: Any) -> str:
        kept: str = super()._save(name, content)  # type: ignore[misc]  # which its stubs leave out
        names = unwritten.get()
        if names is not None:
            names.append(kept)
        return kept


@contextmanager
def gone_unless_written() -> Iterator[None]:
    """A database takes back what it was told in a transaction that fails; a folder does not."""
    names: list[str] = []
    outside = unwritten.set(names)
    try:
        yield
    except BaseException:
        for name in names:
            default_storage.delete(name)
        raise
    finally:
        unwritten.reset(outside)
