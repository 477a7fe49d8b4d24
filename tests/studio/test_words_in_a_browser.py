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


def words_of(paper):
    with pypdfium2.PdfDocument(paper) as sheets:
        return [sheet.get_textpage().get_text_bounded() for sheet in sheets]


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
            bare[found.path] = unmarked(words_of(found.content), typed, found.path)

    assert pages > 180 and papers > 15
    assert {path: words for path, words in bare.items() if words} == {}
    assert {path: by for path, by in burst.items() if by > 0} == {}


def sent(page, path):
    """What the form of a page leads to, sent as it came: a label goes straight to the printer."""
    page.goto(path)
    return send(page, path, "main form:has([name=key])")


def send(page, path, form):
    typed = page.locator(form).evaluate("form => Object.fromEntries(new FormData(form))")
    return page.request.post(path, form=typed, timeout=SLOWEST_PAPER_MS).body()


def labels(page):
    for path in ("/safety/c/C7/label/", "/safety/materials/1/label/", "/safety/baths/1/label/"):
        yield path, sent(page, path)


def stickers(page):
    path = "/shelf/stickers/?stock=a4-24&start=1&codes=C7"
    yield path, fetch(page)(path)[1]


def long_papers(page):
    for path in ("/safety/booklet/", "/safety/folder/"):
        page.goto(path)
        page.locator("main form button").click()
        yield path, fetch(page)(page.locator("#job a.button").get_attribute("href", timeout=SLOWEST_PAPER_MS))[1]


def slips(page):
    page.goto("/people/invite/")
    page.locator("[name=people]").first.check()
    page.locator("[name=role]").first.check()
    page.locator("main form button.first").click()
    yield "slips", send(page, "/people/slips/", "form[action='/people/slips/']")


@pytest.mark.parametrize("printed", [labels, stickers, long_papers, slips])
def test_what_a_form_prints_shows_no_unmarked_word(reader, demo_in_no_tongue, printed):
    _book, typed = demo_in_no_tongue

    bare = {path: unmarked(words_of(paper), typed, path) for path, paper in printed(reader)}

    assert bare and {path: words for path, words in bare.items() if words} == {}
