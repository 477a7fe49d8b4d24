"""Every paper of the demo, on A4 and on Letter."""

from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from inventory.models import Person, Place
from studio.bites.models import Parcel
from studio.workshop.models import Workshop
from tests.factories import PlaceFactory
from tests.studio.conftest import sign_in
from tests.studio.every_paper import LEAST_FILLED, every_paper, filled, of_class, words_of

pytestmark = [pytest.mark.django_db, pytest.mark.every_sheet]

# what is asked of the press after something was written, or of a long list; the tests of each look at its measures
ASKED_FOR_BY_FORMS = {
    "people/papers/slips.html",
    "safety/papers/chemicals_front.html",
    "safety/papers/chemicals_part.html",
    "safety/papers/label.html",
    "safety/papers/label_sheet.html",
}
SIZES = pytest.mark.parametrize("size", Workshop.Paper.values)


@pytest.fixture(scope="module")
def printed(tallow_street, django_db_blocker):
    browser = Client()
    with django_db_blocker.unblock():
        maren = Person.objects.get(account__username="maren")
        sign_in(browser, maren)
        for place in (Place.objects.get(name="Flammables cabinet"), PlaceFactory(name="Empty shelf")):
            browser.post(reverse("shelf:begin_count", args=[place.pk]))
        return every_paper(browser, reverse("bites:parcel_note", args=[Parcel.objects.latest("pk").pk]))


@pytest.fixture(scope="module")
def laid_out(printed):
    """For a size of paper the papers, each with its pages."""
    kept = {}

    def pages(size):
        if size not in kept:
            kept[size] = [(paper, paper.laid_out(size)) for paper in printed if not paper.is_cut]
        return kept[size]

    return pages


def test_no_paper_is_forgotten_here(printed):
    folder = Path(settings.ROOT) / "templates"
    every = {str(each.relative_to(folder)) for each in folder.glob("*/papers/**/*.html") if each.name[0] != "_"}

    assert every - {paper.template for paper in printed} == ASKED_FOR_BY_FORMS


@SIZES
def test_every_page_says_of_what_it_is_one(laid_out, size):
    for paper, pages in laid_out(size):
        title = paper.html.partition("<title>")[2].partition("</title>")[0]
        for page in pages:
            assert words_of(page._page_box).count(title) >= 1 + (page is not pages[0]), (paper.at, title)


@SIZES
def test_no_paper_ends_with_a_page_that_is_almost_empty(laid_out, size):
    ends = {(paper.at, paper.template): filled(pages[-1]) for paper, pages in laid_out(size) if len(pages) > 1}

    assert ends and {at: end for at, end in ends.items() if end < LEAST_FILLED} == {}


@SIZES
def test_what_is_signed_stands_on_the_page_that_is_signed(laid_out, size):
    signed = 0
    for paper, pages in laid_out(size):
        for page in pages:
            for part in of_class(page, "with-above")[:1]:
                signed += 1
                above = words_of(page._page_box.children[0]).partition(words_of(part)[:40])[0]
                assert len(above.split()) > 20, (paper.at, above)

    assert signed >= 2
