"""
Long papers, printed part by part in a process of their own: no page waits for one, and no server keeps its memory.

`begin` hands the parts over; `find` tells how far they are. A job is a few files in the data folder, so that whichever
worker is asked knows of it; `python -m studio.printing.print_jobs FOLDER` is the process.
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

    folder: Path

    @property
    def key(self) -> uuid.UUID:
        return uuid.UUID(self.folder.name)

    @property
    def paper(self) -> Path:
        return self.folder / PAPER

    @property
    def title(self) -> str:
        return self.begun["title"]

    @property
    def parts(self) -> int:
        """How many there are to print."""
        return len(self.begun["parts"])

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
        """Whether its process ended without a paper, or has neither printed nor waited for long."""
        if self.is_done:
            return False
        return (self.folder / FAILED).exists() or time.time() - self.moved_at > STALLED_S

    @property
    def is_underway(self) -> bool:
        return not self.is_done and not self.has_failed

    @property
    def begun(self) -> dict:
        return json.loads((self.folder / BEGUN).read_text())

    @property
    def moved_at(self) -> float:
        files = (self.folder / BEGUN, self.folder / PROGRESS)
        return max(file.stat().st_mtime for file in files if file.exists())


class PaperPart(NamedTuple):
    """A whole HTML document, joined with others."""

    title: str
    html: str


def page_of(part: int) -> str:
    """Stands in the front for the number of the page on which a part begins; the first part is 0."""
    return f"{OPEN}{part}{SHUT}"


def begin(front: PaperPart, parts: Sequence[PaperPart], *, page: str) -> Job:
    """Start printing. front: what comes first, such as the list of the parts; its own pages have no number."""
    clear_old()
    job = Job(FOLDER / uuid.uuid4().hex)
    job.folder.mkdir(parents=True, mode=0o700)
    for number, part in enumerate([front, *parts]):
        (job.folder / file_of(number)).write_text(part.html, encoding="utf-8")
    begun = {"title": front.title, "parts": [part.title for part in parts], "page": page}
    (job.folder / BEGUN).write_text(json.dumps(begun))
    environ = {**os.environ, "DJANGO_SETTINGS_MODULE": settings.SETTINGS_MODULE, "MORDANT_DATA": str(settings.DATA)}
    process = subprocess.Popen(
        [sys.executable, "-m", "studio.printing.print_jobs", str(job.folder)], cwd=settings.ROOT, env=environ
    )
    threading.Thread(target=wait_for_process, args=(process, job), daemon=True).start()
    return job


def find(key: uuid.UUID) -> Job | None:
    job = Job(FOLDER / key.hex)
    return job if (job.folder / BEGUN).exists() else None


def underway(title: str) -> Job | None:
    """The paper of that title that is being printed, if there is one."""
    return next((job for job in all_jobs() if job.title == title and job.is_underway), None)


def all_jobs() -> Iterator[Job]:
    begun = FOLDER.glob(f"*/{BEGUN}")
    return (Job(file.parent) for file in sorted(begun))


def clear_old() -> None:
    """Papers of yesterday go."""
    for job in all_jobs():
        if time.time() - job.moved_at > KEPT_S:
            for file in job.folder.iterdir():
                file.unlink()
            job.folder.rmdir()


def wait_for_process(process: subprocess.Popen, job: Job) -> None:
    """However it ends, whoever waits is told."""
    if process.wait() != 0:
        (job.folder / FAILED).touch()


def print_paper(job: Job) -> None:
    """One paper at a time, in a process that ends with it."""
    begun = job.begun
    with locking.held(
        job.folder.parent / "press.lock", patience_s=PATIENCE_S, while_waiting=(job.folder / BEGUN).touch
    ):
        from studio.printing import pdf  # only once it is this paper's turn: it takes half a second and 50 MB

        html = [(job.folder / file_of(number)).read_text(encoding="utf-8") for number in range(job.parts + 1)]
        printed, begins = [], [1]
        for part in html[1:]:
            printed.append(pdf.render(part, page=begun["page"], numbered_from=begins[-1]))
            begins.append(begins[-1] + len(printed[-1].pages))
            (job.folder / PROGRESS).write_text(str(len(printed)))
        contents = PAGE_OF.sub(lambda part: str(begins[int(part[1])]), html[0])
        front = pdf.render(contents, page=begun["page"], numbered_from=0)
        # whoever looks for the paper must never find a part of it
        whole = job.folder / "whole.pdf"
        pdf.print_joined(front, printed, whole)
        whole.rename(job.paper)


def file_of(number: int) -> str:
    return f"{number:04}.html"


if __name__ == "__main__":
    import django

    django.setup()
    print_paper(Job(Path(sys.argv[1])))
