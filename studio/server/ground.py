"""What a book stands on: a folder that can be written, room on its disk. What is missing is one sentence."""

import errno
import os
import shutil
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

LEAST_FREE = 50_000_000  # bytes; a write that does not fit is lost
ROOM = {errno.ENOSPC, errno.EDQUOT}
RIGHTS = {errno.EACCES, errno.EPERM, errno.EROFS}


def make(data: Path) -> None:
    """The data folder; ImproperlyConfigured where nothing can be written in it."""
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise ImproperlyConfigured(f"The data folder {data} cannot be made: {error.strerror}. {REMEDY}") from error
    if not os.access(data, os.W_OK | os.X_OK):
        raise ImproperlyConfigured(f"The data folder {data} cannot be written. {REMEDY}")


REMEDY = "Give whoever starts the book the right to write there, or name another folder in MORDANT_DATA."


def free(data: Path) -> int:
    return shutil.disk_usage(data).free


def is_full(data: Path) -> bool:
    return free(data) < LEAST_FREE


def full(data: Path) -> str:
    """What is said of a disk with too little room."""
    room = f"{free(data) // 1_000_000:,} MB are free, and the book needs {LEAST_FREE // 1_000_000}"
    return f"The disk that holds {data} is full: {room}. Make room and start again."


def explained(error: OSError) -> str | None:
    """What of the ground gave way, in one sentence; None where it is something else."""
    if error.errno in ROOM:
        return f"The disk is full: {error}. Make room and start again."
    if error.errno in RIGHTS:
        return f"A file cannot be written: {error}. {REMEDY}"
    return None
