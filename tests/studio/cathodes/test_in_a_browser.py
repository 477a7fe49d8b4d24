"""The demo's cathodes, as everybody must be able to use them: run it with `-m browser`."""

import pytest
from playwright.sync_api import sync_playwright

from tests.studio.opened import opened
from tests.studio.test_look import DESK, PHONE
from tests.studio.test_pages import assert_everybody_can_use, sign_in

PAGES = [
    "/cathodes/",
    "/cathodes/1/",
    "/cathodes/hang/",
    "/waste/cathode/1/strip/",
    "/cathodes/1/weigh/",
    "/cathodes/1/hang/",
    "/cathodes/1/take-out/",
    "/cathodes/1/measure/",
    "/cathodes/recovered/",
    "/waste/balance/",
    "/waste/balance/?since=2001-01-01&until=2001-02-01",
    "/waste/balance/?since=2199-01-01",
    "/cathodes/copper/1/",
    "/cathodes/copper/5/",
]
REFUSED = {
    "/cathodes/hang/": {"name": "upright sheet", "facing_cm2": "large", "bare_0": "50 kg"},
    "/cathodes/1/weigh/": {"mass_g_0": "900"},
    "/waste/cathode/1/strip/": {"mass_g_0": "140"},
    "/cathodes/1/measure/": {"strip_at_um": "0"},
    "/cathodes/copper/1/": {"size": "wide"},
}
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
def test_every_page_of_the_cathodes_can_be_used_by_everybody(maren, path):
    complaints = []
    maren.on("console", lambda message: message.type in ("error", "warning") and complaints.append(message.text))

    maren.goto(path)
    maren.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")

    assert_everybody_can_use(maren)
    assert complaints == []


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_a_cathode_can_be_read_by_everybody(maren, path):
    maren.goto(path)
    for name, typed in REFUSED[path].items():
        maren.locator(f"main [name={name}]").fill(typed)

    maren.locator("main form button").last.click()

    maren.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(maren)


@pytest.mark.parametrize("path", ["/waste/cathode/1/strip/", "/cathodes/1/weigh/", "/cathodes/hang/"])
def test_wet_gloves_hit_what_they_aim_at(maren, path):
    maren.goto(path)
    touched = maren.locator(".wet .button, .wet .choices.big label, .wet input[inputmode], .wet select")

    heights = [box["height"] for each in touched.all() if (box := each.bounding_box())]

    assert heights and min(heights) >= WET_TARGET_PX - 0.5


def test_a_strip_is_written_by_the_keyboard_alone(maren):
    maren.goto("/waste/cathode/2/strip/")
    maren.get_by_label("Amount").focus()
    maren.keyboard.type("2")
    maren.keyboard.press("Enter")

    maren.get_by_text("Written: Stripped").wait_for()
    assert_everybody_can_use(maren)
    maren.goto("/waste/balance/")
    assert_everybody_can_use(maren)
