"""The demo in a language that nobody speaks: nothing reads as before, and nothing bursts its frame on a phone."""

import signal

import pypdfium2
import pytest

from tests.invented_language import LANGUAGE, teach
from tests.studio.browser import PHONE, unfold
from tests.studio.opened import opened
from tests.studio.unmarked import SHOWN, typed_by_people, unmarked

pytestmark = pytest.mark.browser

PAGES = [
    *("/shelf/", "/shelf/use/", "/shelf/receive/1/", "/shelf/c/C7/use/", "/orders/costs/"),
    *("/shelf/counts/", "/shelf/places/", "/shelf/stickers/", "/orders/", "/orders/suppliers/", "/orders/suppliers/1/"),
    *("/people/", "/people/1/", "/people/inductions/", "/people/password/", "/people/tablets/", "/book/40/"),
    *("/studio/", "/first-aid/", "/", "/needs/", "/year/", "/book/seals/", "/people/second-factor/"),
    *("/baths/", "/baths/1/", "/baths/1/top-up/", "/plates/", "/plates/1/", "/bites/log-sheet/1/type/"),
    *("/cathodes/", "/cathodes/1/", "/waste/", "/waste/1/", "/waste/start/", "/waste/1/deposit/", "/waste/1/test/"),
    *("/safety/", "/safety/chemicals/", "/safety/open/materials/1/", "/safety/open/baths/1/", "/safety/open/drums/1/"),
    *("/bites/write/", "/bites/plan/", "/plates/new/", "/plates/send/", "/baths/set-up/", "/baths/1/titration/"),
    *(
        "/waste/rules/",
        "/waste/reminders/",
        "/waste/5/",
        "/waste/cathode/2/strip/",
        "/waste/advice/2/",
        "/bites/cards/",
    ),
    *("/shelf/sheets/missing/", "/shelf/places/new/", "/safety/materials/27/classes/", "/safety/places/1/"),
    *("/waste/months/", "/waste/advice/", "/waste/balance/", "/waste/disposals/1/", "/safety/together/"),
]
PAPERS = ["/people/inductions/paper/", "/orders/list/", "/shelf/c/C7/sticker/", "/bites/log-sheet/1/", "/baths/1/card/"]
PAPERS += ["/waste/1/label/", "/waste/disposals/1/paper/", "/safety/baths/1/summary/", "/safety/drums/1/summary/"]


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


def test_no_page_shows_an_unmarked_word_or_bursts_its_frame(reader, demo_in_no_tongue):
    book, typed = demo_in_no_tongue
    bare, burst = {}, {}
    for path in PAGES:
        reader.goto(path)
        unfold(reader)
        bare[path] = unmarked(reader.evaluate(SHOWN), typed)
        burst[path] = reader.evaluate("document.documentElement.scrollWidth") - PHONE["width"]

    assert {path: words for path, words in bare.items() if words} == {}
    assert {path: by for path, by in burst.items() if by > 0} == {}


def test_no_paper_shows_an_unmarked_word(reader, demo_in_no_tongue):
    book, typed = demo_in_no_tongue
    bare = {}
    for path in PAPERS:
        paper = pypdfium2.PdfDocument(reader.request.get(path).body())
        bare[path] = unmarked([page.get_textpage().get_text_bounded() for page in paper], typed)

    assert {path: words for path, words in bare.items() if words} == {}
