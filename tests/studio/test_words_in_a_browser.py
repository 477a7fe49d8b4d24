"""The demo in a language that nobody speaks: nothing reads as before, and nothing bursts its frame on a phone."""

import re
import signal

import pypdfium2
import pytest

from tests.invented_language import LANGUAGE, teach
from tests.studio.browser import PHONE, unfold
from tests.studio.opened import opened
from tests.studio.unmarked import SHOWN, typed_by_people, unmarked
from tests.studio.walking import walk

pytestmark = pytest.mark.browser

SLOWEST_PAPER_MS = 180_000
A_SHEET_OF_SOMEBODY_ELSE = re.compile(r"/shelf/sheets/\d+/")


@pytest.fixture(scope="module")
def demo_in_no_tongue(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    teach(folder)
    with opened(folder, MORDANT_LANGUAGE=LANGUAGE) as book:
        yield book, typed_by_people(folder)
        assert book.close(signal.SIGINT) == 0, book.said


@pytest.fixture(scope="module")
def reader(chromium, demo_in_no_tongue):
    """The demo's keyholder, who knows the form by its fields and not by its words."""
    book, typed = demo_in_no_tongue
    with chromium.new_context(viewport=PHONE, base_url=book.address) as hers:
        page = hers.new_page()
        page.goto("/people/sign-in/")
        page.locator("[name=username]").fill("maren")
        page.locator("[name=password]").fill("tallow-street")
        page.locator("main form button").click()
        page.wait_for_url(lambda url: "sign-in" not in url)
        yield page


def fetch(page):
    def fetched(path):
        answer = page.request.get(path, timeout=SLOWEST_PAPER_MS)
        return answer.headers.get("content-type", ""), answer.body()

    return fetched


def test_no_page_and_no_paper_shows_an_unmarked_word_or_bursts_its_frame(reader, demo_in_no_tongue):
    book, typed = demo_in_no_tongue
    bare, burst, pages, papers = {}, {}, 0, 0
    for found in walk(fetch(reader)):
        if found.is_page:
            pages += 1
            reader.goto(found.path)
            unfold(reader)
            bare[found.path] = unmarked(reader.evaluate(SHOWN), typed, found.path)
            burst[found.path] = reader.evaluate("document.documentElement.scrollWidth") - PHONE["width"]
        elif found.is_paper and not A_SHEET_OF_SOMEBODY_ELSE.fullmatch(found.path):
            papers += 1
            with pypdfium2.PdfDocument(found.content) as paper:
                shown = [page.get_textpage().get_text_bounded() for page in paper]
            bare[found.path] = unmarked(shown, typed, found.path)

    assert pages > 180 and papers > 15
    assert {path: words for path, words in bare.items() if words} == {}
    assert {path: by for path, by in burst.items() if by > 0} == {}
