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
    """The data folder; ImproperlyConfigured where there is none, and none can be made."""
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise ImproperlyConfigured(f"The data folder {data} cannot be made: {error.strerror}. {REMEDY}") from error
    # what is in it already may be looked at all the same, as `verify` does
    if (refusal := unwritable(data)) and not (os.access(data, os.R_OK) and any(data.iterdir())):
        raise ImproperlyConfigured(refusal)


def unwritable(data: Path) -> str:
    """What is said of a folder in which nothing can be written; mostly nothing."""
    is_well = os.access(data, os.W_OK | os.X_OK)
    return "" if is_well else f"The data folder {data} cannot be written. {REMEDY}"


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
