"""What every copy of a book has to be before it counts, whatever database it comes from."""

import os
import pkgutil
from collections.abc import Collection
from importlib import import_module
from pathlib import Path

from django.apps import apps

OVERLAP = "_overlap"


class Failed(Exception):
    """A backup could not be made or may not be trusted; the message says why."""


def known_migrations() -> set[tuple[str, str]]:
    """All migrations of the code, by name alone: importing them costs more than a whole warm start should."""
    found = set()
    for app in apps.get_app_configs():
        try:
            package = import_module(f"{app.name}.migrations")
        except ModuleNotFoundError:
            continue
        found |= {(app.label, module.name) for module in pkgutil.iter_modules(package.__path__)}
    return found


def strange_migrations(written: Collection[tuple[str, str]]) -> list[str]:
    """
    Migrations that another build wrote into a book, which this one does not know and cannot live with.

    Those that end in "_overlap" only add what the build before them leaves empty: while nodes are changed one after
    another, both builds keep the same book.
    """
    known = known_migrations()
    own = {app for app, _ in known}
    unknown = ((app, name) for app, name in set(written) - known if app in own)
    return sorted(f"{app} {name}" for app, name in unknown if not name.endswith(OVERLAP))


def refuse_strange_migrations(written: Collection[tuple[str, str]]) -> None:
    """Refuse a database that is no book at all, and one that a newer build has written."""
    if ("inventory", "0001_initial") not in written:
        raise Failed("This backup holds a database, but no workshop book.")
    if strange := strange_migrations(written):
        raise Failed(f"This backup was made by another build, whose {strange[0]} this one does not know.")


def sync(path: Path) -> None:
    """What is written, or a folder's list of names, on the disk itself."""
    if path.is_dir() and os.name == "nt":  # there a folder cannot be opened, and its names are kept by the system
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
