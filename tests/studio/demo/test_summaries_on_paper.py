"""Each summary is one sheet, wherever the studio is and whatever paper it has: nobody hangs up the second page."""

import pytest

from studio.printing import papers, pdf
from studio.safety.booklet import summaries_of_everything
from studio.workshop.models import Workshop

pytestmark = pytest.mark.django_db

LONGEST = 4
CODE = '<svg viewBox="0 0 1 1"><title>Opens it</title><path d="M0 0h1v1z"/></svg>'


@pytest.fixture(params=Workshop.Region.values)
def summaries(request, tallow_street):
    """Of everything that stands in the demo, the longest first, as its region wants them."""
    workshop = Workshop.objects.get()
    workshop.region = request.param
    said = {"workshop": workshop, "printed_by": "Maren Oakes", "code": CODE, "caution": "opens on this machine only"}
    sheets = [
        papers.html("safety/papers/summary.html", {"summary": each, **said}, title=f"Safety summary: {each.title}")
        for each in summaries_of_everything(workshop)
    ]
    return sorted(sheets, key=len, reverse=True)


def pages(sheets, size):
    return [len(pdf.render(sheet, page=size).pages) for sheet in sheets]


@pytest.mark.parametrize("size", Workshop.Paper.values)
def test_the_longest_summaries_are_one_sheet_each(summaries, size):
    assert pages(summaries[:LONGEST], size) == [1] * LONGEST


@pytest.mark.every_sheet
@pytest.mark.parametrize("size", Workshop.Paper.values)
def test_every_summary_is_one_sheet(summaries, size):
    assert len(summaries) > 30
    assert set(pages(summaries, size)) == {1}
