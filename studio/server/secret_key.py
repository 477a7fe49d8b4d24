"""The key that signs sessions: made once, kept beside the book, read by its owner alone."""

import os
import secrets
from pathlib import Path


def read_or_make(path: Path) -> str:
    if not path.exists():
        _make(path)
    return path.read_text()


def _make(path: Path) -> None:
    draft = path.with_name(f"{path.name}.{os.getpid()}")
    with open(draft, "x", opener=_for_the_owner_alone) as file:
        file.write(secrets.token_urlsafe(50))
    try:
        os.link(draft, path)  # never replaces: of two first starts at once, both go on with the same key
    except FileExistsError:
        pass
    finally:
        draft.unlink()


def _for_the_owner_alone(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
