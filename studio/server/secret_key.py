"""The key that signs sessions: made once, kept beside the book, read by its owner alone."""

import os
import secrets
from contextlib import suppress
from pathlib import Path


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
