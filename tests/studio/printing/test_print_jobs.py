"""Long papers, printed by a process of their own on whichever node is free."""

import subprocess
import sys
import threading
import uuid
from datetime import timedelta
from io import BytesIO

import pypdf
import pytest
from django.db import connection
from django.utils import timezone

from studio.printing import papers, print_jobs
from studio.printing.job import PaperPart, page_of
from studio.printing.models import KEPT, PATIENCE, STALLED, PrintJob

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(print_jobs, "FOLDER", tmp_path)
    return tmp_path


def part(title, content="<h2>A sheet</h2><p>Its words.</p>"):
    empty = papers.html("print.html", {}, title=title)
    return PaperPart(title, empty.replace("</main>", f"{content}</main>"))


def front(*parts):
    pages = (f"<p>{each.title}, page {page_of(number)}.</p>" for number, each in enumerate(parts))
    return part("Long list", "".join(pages))


def begun(*parts):
    return print_jobs.begin(front(*parts), parts, page="A4")


def worked_off(*parts):
    job = begun(*parts)
    print_jobs.work_off()
    return print_jobs.find(job.key)


def asked(title="Asked", **how):
    return PrintJob.objects.create(title=title, page="A4", html=["", ""], parts=1, **how)


def test_a_long_paper_is_bound_from_its_parts_and_tells_how_far_it_is(folder):
    two_pages = part("Bath", "<p>Its words.</p>" * 60)
    job = worked_off(part("Wall"), two_pages, part("Acetone"))

    paper = pypdf.PdfReader(BytesIO(job.paper))
    said = " ".join(paper.pages[0].extract_text().split())
    assert job.is_done and not job.has_failed
    assert job.printed == job.parts == 3 and len(paper.pages) == 5
    assert "Wall, page 1. Bath, page 2. Acetone, page 4." in said
    assert [item.title for item in paper.outline] == ["Long list", "Wall", "Bath", "Acetone"]
    assert paper.metadata.title == job.title == "Long list"
    assert job.html == [] and list(folder.glob("paper-*")) == []


def test_a_spoiled_paper_is_not_handed_out_and_says_so():
    job = worked_off(part("Spoiled", '<svg viewBox="0 0 1 1"><path d="M0 0h1"/></svg>'))

    assert job.has_failed and not job.is_done


def test_a_paper_whose_process_is_ended_has_failed(monkeypatch):
    killed = [sys.executable, "-c", "import os; os.kill(os.getpid(), 9)"]
    popen = subprocess.Popen
    monkeypatch.setattr(print_jobs.subprocess, "Popen", lambda command, **how: popen(killed, **how))

    assert worked_off(part("Wall")).has_failed


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif("connection.vendor != 'postgresql'", reason="SQLite's writers wait for each other anyway")
def test_of_many_nodes_each_paper_is_taken_by_one():
    for number in range(6):
        asked(f"Paper {number}")
    taken, at_once = [], threading.Barrier(6)

    def take():
        at_once.wait()
        taken.append(PrintJob.objects.take().title)
        connection.close()

    takers = [threading.Thread(target=take) for _ in range(6)]
    for taker in takers:
        taker.start()
    for taker in takers:
        taker.join()

    assert sorted(taken) == [f"Paper {number}" for number in range(6)]
    assert PrintJob.objects.take() is None


def test_the_paper_of_a_node_that_has_gone_is_taken_by_another():
    left = asked(state=PrintJob.State.TAKEN, moved_at=timezone.now() - STALLED - timedelta(seconds=1), printed=1)
    asked(state=PrintJob.State.TAKEN)

    taken = PrintJob.objects.take()

    assert (taken.pk, taken.printed) == (left.pk, 0)
    assert PrintJob.objects.take() is None


@pytest.mark.parametrize(
    ("state", "waited", "failed"),
    [
        (PrintJob.State.WAITS, PATIENCE - timedelta(seconds=5), False),
        (PrintJob.State.WAITS, PATIENCE + timedelta(seconds=5), True),
        (PrintJob.State.TAKEN, 2 * STALLED - timedelta(seconds=5), False),
        (PrintJob.State.TAKEN, 2 * STALLED + timedelta(seconds=5), True),
        (PrintJob.State.PRINTED, KEPT, False),
    ],
)
def test_a_paper_that_nobody_prints_has_failed_after_a_while(state, waited, failed):
    job = asked(state=state, moved_at=timezone.now() - waited, asked_at=timezone.now() - waited)

    assert job.has_failed == failed
    assert (print_jobs.underway("Asked") is None) == (failed or job.is_done)


def test_papers_of_yesterday_are_cleared_away():
    old = asked(asked_at=timezone.now() - KEPT - timedelta(seconds=1))

    begun(part("New"))

    assert print_jobs.find(old.key) is None


def test_a_paper_nobody_began_is_not_found():
    assert print_jobs.find(uuid.uuid4()) is None
