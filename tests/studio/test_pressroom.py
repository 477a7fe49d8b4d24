"""Long papers, printed by a process of their own."""

import os
import time
import uuid
from io import BytesIO

import pypdf
import pytest

from studio import papers, pressroom


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(pressroom, "FOLDER", tmp_path)
    return tmp_path


def waited_for(job, seconds=60):
    until = time.monotonic() + seconds
    while job.is_underway and time.monotonic() < until:
        time.sleep(0.05)
    return job


def html(pages):
    return papers.html("print.html", {}, title="Long list").replace(
        "<main>", "<main>" + "<h2>A page</h2><p>Its words.</p><p style='break-after:page'></p>" * pages
    )


def test_a_long_paper_is_printed_and_tells_how_far_it_is(folder):
    job = waited_for(pressroom.begin(html(12), title="Long list", page="A4", about=12))

    printed = pypdf.PdfReader(BytesIO(job.paper.read_bytes()))
    assert job.is_done and not job.has_failed
    assert job.pages == len(printed.pages) == 12
    assert printed.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert pressroom.find(job.key).title == "Long list"


def test_a_spoiled_paper_is_not_handed_out_and_says_so(folder):
    job = waited_for(pressroom.begin("<svg><path d='M0 0h1'/></svg>", title="Spoiled", page="A4", about=1))
    time.sleep(0.2)

    assert job.has_failed and not job.is_done


def test_a_paper_that_has_not_moved_for_long_has_failed(folder):
    job = stalled(folder)

    assert job.has_failed and pressroom.underway() is None


def test_papers_of_yesterday_are_cleared_away(folder):
    old = stalled(folder, seconds=pressroom.KEPT_S + 10)

    waited_for(pressroom.begin(html(1), title="New", page="A4", about=1))

    assert pressroom.find(old.key) is None


def test_a_paper_nobody_began_is_not_found(folder):
    assert pressroom.find(uuid.uuid4()) is None


def stalled(folder, seconds=pressroom.STALLED_S + 10):
    job = pressroom.Job(uuid.uuid4())
    job.folder.mkdir()
    begun = job.folder / "begun.json"
    begun.write_text('{"title": "Stalled", "about": 3}')
    os.utime(begun, (time.time() - seconds,) * 2)
    return job
