"""Long papers, printed by a process of their own."""

import os
import time
import uuid
from io import BytesIO

import pypdf
import pytest

from studio.printing import papers, print_jobs
from studio.printing.job import STALLED_S, Job, PaperPart, page_of
from studio.server import locking


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(print_jobs, "FOLDER", tmp_path)
    return tmp_path


def waited_for(job, seconds=60):
    until = time.monotonic() + seconds
    while job.is_underway and time.monotonic() < until:
        time.sleep(0.05)
    return job


def part(title, content="<h2>A sheet</h2><p>Its words.</p>"):
    return PaperPart(title, papers.html("print.html", {}, title=title).replace("<main>", f"<main>{content}"))


def front(*parts):
    pages = (f"<p>{each.title}, page {page_of(number)}.</p>" for number, each in enumerate(parts))
    return part("Long list", "".join(pages))


def begun(*parts):
    return print_jobs.begin(front(*parts), parts, page="A4")


def test_a_long_paper_is_bound_from_its_parts_and_tells_how_far_it_is(folder):
    two_pages = part("Bath", "<p>Its words.</p>" * 60)
    job = waited_for(begun(part("Wall"), two_pages, part("Acetone")))

    paper = pypdf.PdfReader(BytesIO(job.paper.read_bytes()))
    said = " ".join(paper.pages[0].extract_text().split())
    assert job.is_done and not job.has_failed
    assert job.printed == job.parts == 3 and len(paper.pages) == 5
    assert "Wall, page 1. Bath, page 2. Acetone, page 4." in said
    assert [item.title for item in paper.outline] == ["Long list", "Wall", "Bath", "Acetone"]
    assert paper.metadata.title == print_jobs.find(job.key).title == "Long list"


def test_a_spoiled_paper_is_not_handed_out_and_says_so(folder):
    job = waited_for(begun(part("Spoiled", '<svg viewBox="0 0 1 1"><path d="M0 0h1"/></svg>')))

    assert job.has_failed and not job.is_done


def test_a_paper_may_wait_for_the_press_longer_than_a_page_may_take(folder):
    with locking.held(folder / "press.lock"):
        job = begun(part("Wall"))
        not_moved_for_long(job)
        until = time.monotonic() + 60
        while job.has_failed and time.monotonic() < until:
            time.sleep(0.05)
        waiting = job.is_underway, job.has_failed, print_jobs.underway("Long list")

    assert waiting == (True, False, job)
    assert waited_for(job).is_done


def test_a_paper_that_waited_too_long_or_was_ended_while_it_waited_has_failed(folder, monkeypatch):
    processes = []
    popen = print_jobs.subprocess.Popen
    monkeypatch.setattr(
        print_jobs.subprocess,
        "Popen",
        lambda *args, **kwargs: processes.append(popen(*args, **kwargs)) or processes[-1],
    )

    with locking.held(folder / "press.lock"):
        job = begun(part("Wall"))
        processes[0].terminate()

        assert waited_for(job).has_failed and not job.is_done


def test_a_paper_that_has_not_moved_for_long_has_failed(folder):
    job = stalled(folder)

    assert job.has_failed and print_jobs.underway("Stalled") is None


def test_papers_of_yesterday_are_cleared_away(folder):
    old = stalled(folder, seconds=print_jobs.KEPT_S + 10)

    waited_for(begun(part("New")))

    assert print_jobs.find(old.key) is None


def test_a_paper_nobody_began_is_not_found(folder):
    assert print_jobs.find(uuid.uuid4()) is None


def stalled(folder, seconds=STALLED_S + 10):
    job = Job(print_jobs.FOLDER / uuid.uuid4().hex)
    job.folder.mkdir()
    (job.folder / "begun.json").write_text('{"title": "Stalled", "parts": 1, "page": "A4"}')
    not_moved_for_long(job, seconds)
    return job


def not_moved_for_long(job, seconds=STALLED_S + 10):
    os.utime(job.folder / "begun.json", (time.time() - seconds,) * 2)
