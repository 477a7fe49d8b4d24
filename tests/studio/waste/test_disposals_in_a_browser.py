"""Disposals, incidents and the folder of the demo, as everybody must be able to use them: run it with `-m browser`."""

import pytest
from playwright.sync_api import sync_playwright

from tests.studio.opened import opened
from tests.studio.test_look import DESK, PHONE
from tests.studio.test_pages import assert_everybody_can_use, sign_in

PAGES = [
    "/waste/disposals/",
    "/waste/disposals/1/",
    "/waste/disposals/2/",
    "/waste/disposals/hand-over/",
    "/waste/disposals/2/correct/",
    "/waste/disposals/2/their-paper/",
    "/waste/1/refused/",
    "/waste/12/refused/",
    "/waste/log/",
    "/waste/incidents/",
    "/waste/incidents/report/",
    "/waste/incidents/1/",
    "/waste/incidents/1/follow-up/",
    "/safety/folder/",
]
EMPTY = ["/waste/disposals/", "/waste/disposals/hand-over/", "/waste/log/", "/waste/incidents/", "/safety/folder/"]
WET_TARGET_PX = 56

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
def test_every_page_of_what_left_can_be_used_by_everybody(maren, path):
    complaints = []
    maren.on("console", lambda message: message.type in ("error", "warning") and complaints.append(message.text))

    maren.goto(path)
    maren.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")

    assert_everybody_can_use(maren)
    assert complaints == []


def test_a_refused_report_can_be_read_by_everybody(maren):
    maren.goto("/waste/incidents/report/")
    maren.locator("[name=litres_0]").fill("a lot")

    maren.get_by_role("button", name="Report it").click()

    maren.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(maren)


def test_what_must_not_wait_is_read_before_anything_is_typed(maren):
    maren.goto("/waste/incidents/report/")

    aid = maren.get_by_text("running water, lids held open").bounding_box()
    first = maren.locator("main form label").first.bounding_box()

    assert aid["y"] < first["y"]


def test_wet_gloves_hit_what_they_aim_at(maren):
    maren.goto("/waste/incidents/report/")
    touched = maren.locator(".wet .button, .wet .choices.big label, .wet input[inputmode], .wet select")

    heights = [box["height"] for each in touched.all() if (box := each.bounding_box())]

    assert heights and min(heights) >= WET_TARGET_PX - 0.5


def test_a_drop_is_reported_and_followed_up_by_the_keyboard_alone(maren):
    maren.goto("/waste/incidents/report/?bath=1")
    maren.get_by_label("What happened").fill("A drop beside the tank.")
    maren.locator("[name=litres_0]").fill("0.01")
    maren.keyboard.press("Enter")
    maren.get_by_role("link", name="Follow it up").click()
    maren.get_by_label("What was done").fill("Wiped.")
    maren.get_by_label("That closes it").check()
    maren.keyboard.press("Enter")

    maren.get_by_text("Closed.", exact=True).wait_for()
    assert_everybody_can_use(maren)


def test_an_empty_studio_sees_the_next_step(maren, tmp_path):
    with opened(tmp_path, "--empty") as book:
        page = maren.context.browser.new_page(viewport=PHONE, base_url=book.address)
        begin(page)

        for path in EMPTY:
            page.goto(path)
            assert_everybody_can_use(page)


def begin(page):
    page.goto("/")
    for label, typed in {"Name of the studio": "Mill Lane", "Your name": "Ada Brook"}.items():
        page.get_by_label(label).fill(typed)
    page.get_by_label("Name to sign in with").fill("ada")
    page.get_by_label("Password", exact=True).fill("etched in blue")
    page.get_by_label("The same password again").fill("etched in blue")
    page.get_by_role("button", name="Begin the book").click()
    page.get_by_text("The book of Mill Lane is open").wait_for()
