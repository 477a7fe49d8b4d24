"""What a book that was begun a minute ago prints."""

import pytest

from studio.workshop.models import Workshop
from tests.studio.every_paper import LEAST_FILLED, every_paper, filled

pytestmark = [pytest.mark.django_db, pytest.mark.every_sheet]


def test_no_paper_of_a_new_book_ends_with_a_page_that_is_almost_empty(keyholder):
    printed = [paper for paper in every_paper(keyholder) if not paper.is_cut]
    ends = {}
    for paper in printed:
        for size in Workshop.Paper.values:
            pages = paper.laid_out(size)
            if len(pages) > 1:
                ends[paper.at, size] = filled(pages[-1])

    assert len(printed) > 10
    assert {at: end for at, end in ends.items() if end < LEAST_FILLED} == {}
