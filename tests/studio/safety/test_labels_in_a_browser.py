"""The overview, a copied sheet and a label, as everybody must be able to use them: run it with `-m browser`."""

import pytest
from playwright.sync_api import sync_playwright

from tests.studio.opened import opened
from tests.studio.test_look import DESK, PHONE
from tests.studio.test_pages import assert_everybody_can_use, sign_in

PAGES = [
    "/safety/",
    "/safety/open/baths/2/",
    "/safety/open/materials/23/",
    "/safety/open/materials/11/",
    "/safety/materials/31/classes/",
    "/safety/materials/7/label/",
    "/safety/baths/1/label/",
]

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    with opened(tmp_path_factory.mktemp("demo")) as book:
        yield book.address


@pytest.fixture(scope="module", params=[PHONE, DESK], ids=["phone", "desk"])
def maren(request, demo):
    """The demo's keyholder at her phone, then at her desk."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport=request.param, base_url=demo)
        sign_in(page, "maren", "tallow-street")
        yield page
        browser.close()


@pytest.mark.parametrize("path", PAGES)
def test_every_page_about_hazards_can_be_used_by_everybody(maren, path):
    complaints = []
    maren.on("console", lambda message: message.type in ("error", "warning") and complaints.append(message.text))

    maren.goto(path)
    maren.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")

    assert_everybody_can_use(maren)
    assert complaints == []


def test_a_refused_statement_can_be_read_by_everybody(maren):
    maren.goto("/safety/materials/33/classes/")
    maren.get_by_label("Date of the sheet").fill("2024-01-31")
    maren.get_by_label("Hazard statements").fill("Danger")

    maren.get_by_role("button", name="Write it down").click()

    maren.get_by_text("does not begin with a code").wait_for()
    assert_everybody_can_use(maren)


def test_the_bench_asks_for_a_label_of_the_tank_that_dried(maren):
    maren.goto("/")

    maren.get_by_text("The label of Small tank").first.wait_for()
