"""
Long papers, printed part by part in a process of their own: no page waits for one, and no server keeps its memory.

`begin` puts one in the queue, which all nodes share; `find` tells how far it is; `work_off` prints what waits.
"""

import logging
import shutil
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connection, transaction
from django.utils import timezone

from studio.printing.job import Job, PaperPart
from studio.printing.models import KEPT, PATIENCE, PrintJob
from studio.server import locking

log = logging.getLogger("studio.server")
FOLDER = settings.DATA / "printing"
LOOKS_EVERY_S, TELLS_EVERY_S = 0.1, 5


def begin(front: PaperPart, parts: Sequence[PaperPart], *, page: str) -> PrintJob:
    """Ask for a paper. front: what comes first, such as the list of the parts; its own pages have no number."""
    # there is no other moment at which somebody is sure to come by
    PrintJob.objects.filter(asked_at__lt=timezone.now() - KEPT).delete()
    html = [part.html for part in (front, *parts)]
    job = PrintJob.objects.create(title=front.title, page=page, html=html, parts=len(parts))
    # a thread of this worker, because the view must answer at once
    transaction.on_commit(threading.Thread(target=work_off_aside, daemon=True).start)
    return job


def find(key: uuid.UUID) -> PrintJob | None:
    return PrintJob.objects.light().filter(pk=key).first()


def underway(title: str) -> PrintJob | None:
    """The paper of that title that is being printed, if there is one."""
    asked = PrintJob.objects.light().filter(title=title).order_by("asked_at")
    return next((job for job in asked if job.is_underway), None)


def work_off_aside() -> None:
    """In a thread of its own, where nothing that goes wrong may be said to anybody else."""
    try:
        work_off()
    # the paper is taken again by whoever looks next
    except Exception:
        log.exception("a long paper could not be printed")
    finally:
        connection.close()


def work_off() -> None:
    """Print what waits, one paper at a time on this machine."""
    if not PrintJob.objects.to_print().exists():
        return
    FOLDER.mkdir(mode=0o700, parents=True, exist_ok=True)
    with locking.tried(FOLDER / "press.lock", patience_s=PATIENCE.total_seconds()) as is_ours:
        while is_ours and (job := PrintJob.objects.take()):
            print_one(job)


def print_one(job: PrintJob) -> None:
    """By a process that ends with it, in a folder that nobody else on this machine reads."""
    # of a worker that was ended while it printed; nobody prints now but this one
    for left in FOLDER.glob("paper-*"):
        shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(dir=FOLDER, prefix="paper-", ignore_cleanup_errors=True) as folder:
        on_press = Job(Path(folder))
        on_press.begin(job.html, page=job.page)
        process = subprocess.Popen([sys.executable, "-m", "studio.printing.job", folder], cwd=settings.ROOT)
        try:
            watch(process, on_press, job)
        finally:
            process.kill()
            process.wait()
        # out of memory, the process is killed and cannot say so itself
        if process.returncode or not on_press.paper.exists():
            tell(job, state=PrintJob.State.FAILED, html=[])
        else:
            paper = on_press.paper.read_bytes()
            tell(job, state=PrintJob.State.PRINTED, printed=job.parts, html=[], paper=paper)


def watch(process: subprocess.Popen, on_press: Job, job: PrintJob) -> None:
    """Tell how far it is until it has ended."""
    told, told_at = 0, time.monotonic()
    while process.poll() is None:
        printed = on_press.printed
        if printed != told or time.monotonic() > told_at + TELLS_EVERY_S:
            told, told_at = printed, time.monotonic()
            tell(job, printed=printed)
        time.sleep(LOOKS_EVERY_S)


def tell(job: PrintJob, **how: Any) -> None:
    PrintJob.objects.filter(pk=job.pk).update(moved_at=timezone.now(), **how)
