"""
Long papers, printed part by part in a process of their own: no page waits for one, and no server keeps its memory.

`begin` hands the parts over; `find` tells how far they are.
"""

import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Iterator, Sequence

from django.conf import settings

from studio.printing.job import BEGUN, FAILED, Job, PaperPart

FOLDER = settings.DATA / "printing"
KEPT_S = 24 * 3600


def begin(front: PaperPart, parts: Sequence[PaperPart], *, page: str) -> Job:
    """Start printing. front: what comes first, such as the list of the parts; its own pages have no number."""
    # there is no other moment at which somebody is sure to come by
    clear_old()
    job = Job(FOLDER / uuid.uuid4().hex)
    job.begin(front, parts, page=page)
    process = subprocess.Popen([sys.executable, "-m", "studio.printing.job", str(job.folder)], cwd=settings.ROOT)
    # a thread of this worker, because the view must answer at once
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
    # out of memory, the process is killed and cannot say so itself
    if process.wait() != 0:
        (job.folder / FAILED).touch()
