"""
Long papers, printed by a process of their own: no page waits for one, and the server keeps no memory of it.

`begin` hands a whole HTML document over; `find` tells how far it is. A job is a few files in the data folder, so that
whichever worker is asked knows of it; `python -m studio.pressroom FOLDER PAGE` is the process.
"""

import json
import logging
import os
import re
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from studio import locking

FOLDER = settings.DATA / "printing"
STALLED_S = 120  # a slow machine takes seconds for a page
KEPT_S = 24 * 3600
PATIENCE_S = 600  # for the paper that is being printed before it


@dataclass(frozen=True)
class Job:
    """One paper on its way."""

    key: uuid.UUID

    @property
    def folder(self) -> Path:
        return FOLDER / self.key.hex

    @property
    def paper(self) -> Path:
        return self.folder / "paper.pdf"

    @property
    def title(self) -> str:
        return self._begun["title"]

    @property
    def about(self) -> int:
        """How many pages it will have, as far as was known when it was begun."""
        return self._begun["about"]

    @property
    def pages(self) -> int:
        """How many are laid out."""
        progress = self.folder / "page"
        return int(progress.read_text() or 0) if progress.exists() else 0

    @property
    def is_done(self) -> bool:
        return self.paper.exists()

    @property
    def has_failed(self) -> bool:
        """Whether its process ended without a paper, or has not moved for long."""
        if self.is_done:
            return False
        return (self.folder / "failed").exists() or time.time() - self._moved_at > STALLED_S

    @property
    def is_underway(self) -> bool:
        return not self.is_done and not self.has_failed

    @property
    def _begun(self) -> dict:
        return json.loads((self.folder / "begun.json").read_text())

    @property
    def _moved_at(self) -> float:
        return max(file.stat().st_mtime for file in self.folder.iterdir())


def begin(html: str, *, title: str, page: str, about: int) -> Job:
    """Start printing a document of about so many pages."""
    _clear()
    job = Job(uuid.uuid4())
    job.folder.mkdir(parents=True, mode=0o700)
    (job.folder / "paper.html").write_text(html, encoding="utf-8")
    (job.folder / "begun.json").write_text(json.dumps({"title": title, "about": about}))
    command = [sys.executable, "-m", "studio.pressroom", str(job.folder), page]
    environ = {**os.environ, "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE, "MORDANT_DATA": str(settings.DATA)}
    process = subprocess.Popen(command, cwd=settings.ROOT, env=environ, stdout=subprocess.DEVNULL)
    threading.Thread(target=_hear_out, args=(process, job), daemon=True).start()
    return job


def find(key: uuid.UUID) -> Job | None:
    job = Job(key)
    return job if (job.folder / "begun.json").exists() else None


def underway() -> Job | None:
    """The paper that is being printed, if there is one."""
    return next((job for job in _jobs() if job.is_underway), None)


def _jobs() -> Iterator[Job]:
    begun = FOLDER.glob("*/begun.json")
    return (Job(uuid.UUID(file.parent.name)) for file in sorted(begun))


def _clear() -> None:
    """Papers of yesterday go."""
    for job in _jobs():
        if time.time() - job._moved_at > KEPT_S:
            for file in job.folder.iterdir():
                file.unlink()
            job.folder.rmdir()


def _hear_out(process: subprocess.Popen, job: Job) -> None:
    """However it ends, whoever waits is told."""
    if process.wait() != 0:
        (job.folder / "failed").touch()


class _Pages(logging.Handler):
    """Writes down which page WeasyPrint has come to."""

    def __init__(self, progress: Path) -> None:
        super().__init__(level=logging.INFO)
        self.progress, self.last = progress, 0

    def emit(self, record: logging.LogRecord) -> None:
        found = re.search(r"Creating layout - Page (\d+)", record.getMessage())
        if found and int(found[1]) > self.last:  # page numbers in a list of contents make it lay out pages again
            self.last = int(found[1])
            self.progress.write_text(found[1])


def _print(folder: Path, page: str) -> None:
    """One paper at a time, in a process that ends with it."""
    logger = logging.getLogger("weasyprint.progress")
    logger.setLevel(logging.INFO)
    logger.propagate = False
    logger.addHandler(_Pages(folder / "page"))
    with locking.held(folder.parent / "press.lock", patience_s=PATIENCE_S):
        from studio.press import press  # only once it is this paper's turn: it takes half a second and 50 MB

        pdf = press((folder / "paper.html").read_text(encoding="utf-8"), page=page)
        whole = folder / "paper.part"
        whole.write_bytes(pdf)
        whole.rename(folder / "paper.pdf")


if __name__ == "__main__":
    import django

    django.setup()
    _print(Path(sys.argv[1]), sys.argv[2])
