"""The key that signs sessions: made once, kept beside the book, read by its owner alone."""

import os
import secrets
from contextlib import suppress
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

SHORTEST = 50


def chosen(said: str, path: Path) -> str:
    """The key of MORDANT_SECRET_KEY, or of the file that it names; without it, one made for this data folder."""
    if not said:
        return read_or_make(path)
    key = told("MORDANT_SECRET_KEY", said)
    if len(key) < SHORTEST:
        raise ImproperlyConfigured(f"MORDANT_SECRET_KEY must have {SHORTEST} letters or more, the same on every node.")
    return key


def told(name: str, said: str) -> str:
    """A setting that is nobody else's to read, or what the file holds that it names."""
    try:
        return Path(said).read_text().strip() if Path(said).is_absolute() else said
    except OSError as error:
        raise ImproperlyConfigured(f"{name} names a file that cannot be read: {error}.") from error


def read_or_make(path: Path) -> str:
    if not path.exists():
        draft = path.with_name(f"{path.name}.{os.getpid()}")
        # made with these rights, not given them later: a moment is enough to read a key
        with open(draft, "x", opener=lambda name, flags: os.open(name, flags, 0o600)) as file:
            file.write(secrets.token_urlsafe(50))
        # a link never replaces: of two first starts at once, both go on with the same key
        try:
            with suppress(FileExistsError):
                os.link(draft, path)
        finally:
            draft.unlink()
    return path.read_text()
