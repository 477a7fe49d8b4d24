"""
Long papers, printed part by part in a process of their own: no page waits for one, and no server keeps its memory.

`begin` hands the parts over; `find` tells how far they are. A job is a few files in the data folder, so that whichever
worker is asked knows of it; `python -m studio.pressroom FOLDER` is the process.
"""

import json
import os
import re
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from django.conf import settings

from studio.server import locking

FOLDER = settings.DATA / "printing"
PAPER, BEGUN, PROGRESS, FAILED = "paper.pdf", "begun.json", "printed", "failed"
OPEN, SHUT = "\ue000", "\ue001"  # for private use: nobody types them
PAGE_OF = re.compile(f"{OPEN}(\\d+){SHUT}")
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
        return self.folder / PAPER

    @property
    def title(self) -> str:
        return self._begun["title"]

    @property
    def parts(self) -> int:
        """How many there are to print."""
        return len(self._begun["parts"])

    @property
    def printed(self) -> int:
        """How many of them are."""
        progress = self.folder / PROGRESS
        return int(progress.read_text() or 0) if progress.exists() else 0

    @property
    def is_done(self) -> bool:
        return self.paper.exists()

    @property
    def has_failed(self) -> bool:
        """Whether its process ended without a paper, or has not moved for long."""
        if self.is_done:
            return False
        return (self.folder / FAILED).exists() or time.time() - self._moved_at > STALLED_S

    @property
    def is_underway(self) -> bool:
        return not self.is_done and not self.has_failed

    @property
    def _begun(self) -> dict:
        return json.loads((self.folder / BEGUN).read_text())

    @property
    def _moved_at(self) -> float:
        files = (self.folder / BEGUN, self.folder / PROGRESS)
        return max(file.stat().st_mtime for file in files if file.exists())


class Part(NamedTuple):
    """A whole HTML document, bound with others."""

    title: str
    html: str


def page_of(part: int) -> str:
    """Stands in the front for the number of the page on which a part begins; the first part is 0."""
    return f"{OPEN}{part}{SHUT}"


def begin(front: Part, parts: Sequence[Part], *, page: str) -> Job:
    """Start printing. front: what comes first, such as the list of the parts; its own pages have no number."""
    _clear()
    job = Job(uuid.uuid4())
    job.folder.mkdir(parents=True, mode=0o700)
    for number, part in enumerate([front, *parts]):
        (job.folder / _name(number)).write_text(part.html, encoding="utf-8")
    begun = {"title": front.title, "parts": [part.title for part in parts], "page": page}
    (job.folder / BEGUN).write_text(json.dumps(begun))
    environ = {**os.environ, "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE, "MORDANT_DATA": str(settings.DATA)}
    process = subprocess.Popen(
        [sys.executable, "-m", "studio.printing.print_jobs", str(job.folder)], cwd=settings.ROOT, env=environ
    )
    threading.Thread(target=_hear_out, args=(process, job), daemon=True).start()
    return job


def find(key: uuid.UUID) -> Job | None:
    job = Job(key)
    return job if (job.folder / BEGUN).exists() else None


def underway(title: str) -> Job | None:
    """The paper of that title that is being printed, if there is one."""
    return next((job for job in _jobs() if job.title == title and job.is_underway), None)


def _jobs() -> Iterator[Job]:
    begun = FOLDER.glob(f"*/{BEGUN}")
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
        (job.folder / FAILED).touch()


def _print(folder: Path) -> None:
    """One paper at a time, in a process that ends with it."""
    begun = json.loads((folder / BEGUN).read_text())
    with locking.held(folder.parent / "press.lock", patience_s=PATIENCE_S):
        from studio.printing import (
            binding,  # these only once it is this paper's turn: they take half a second and 50 MB
        )
        from studio.printing.pdf import press

        printed, begins = [], [1]
        for number, title in enumerate(begun["parts"], start=1):
            html = (folder / _name(number)).read_text(encoding="utf-8")
            pdf = press(html, page=begun["page"], numbered_from=begins[-1])
            printed.append((title, pdf))
            begins.append(begins[-1] + binding.count_pages(pdf))
            (folder / PROGRESS).write_text(str(number))
        front = PAGE_OF.sub(lambda part: str(begins[int(part[1])]), (folder / _name(0)).read_text(encoding="utf-8"))
        whole = folder / "whole.pdf"
        first = press(front, page=begun["page"], numbered_from=0)
        binding.bind([(begun["title"], first), *printed], into=whole)
        whole.rename(folder / PAPER)


def _name(number: int) -> str:
    return f"{number:04}.html"


if __name__ == "__main__":
    import django

    django.setup()
    _print(Path(sys.argv[1]))
