"""The demo's drums, as everybody must be able to use them: run it with `-m browser`."""

import pytest
from playwright.sync_api import sync_playwright

from tests.studio.opened import opened
from tests.studio.test_look import DESK, PHONE
from tests.studio.test_pages import assert_everybody_can_use, sign_in

PAGES = [
    "/waste/",
    "/waste/1/",
    "/waste/4/",
    "/waste/12/",
    "/waste/start/",
    "/waste/12/deposit/",
    "/waste/12/look-over/",
    "/waste/12/weigh/",
    "/waste/12/test/",
    "/waste/12/pour-over/",
    "/waste/bath/1/strain/",
    "/waste/bath/1/take-out/",
    "/waste/cathode/1/strip/",
    "/waste/jar/C1/",
    "/waste/balance/",
]
REFUSED = {
    "/waste/start/": {"name": "w1/3", "capacity_l_0": "large"},
    "/waste/12/deposit/": {"amount_0": "900 kg of towels"},
    "/waste/12/look-over/": {"full_percent": "140"},
    "/waste/12/weigh/": {"gross_g_0": "nothing"},
    "/waste/12/test/": {"figure": "300 to 100"},
    "/waste/bath/1/take-out/": {"litres_0": "900"},
}
WET = ["/waste/12/deposit/", "/waste/12/look-over/", "/waste/bath/1/strain/", "/waste/cathode/1/strip/"]
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
def test_every_page_of_the_drums_can_be_used_by_everybody(maren, path):
    complaints = []
    maren.on("console", lambda message: message.type in ("error", "warning") and complaints.append(message.text))

    maren.goto(path)
    maren.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")

    assert_everybody_can_use(maren)
    assert complaints == []


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_a_drum_can_be_read_by_everybody(maren, path):
    maren.goto(path)
    for name, typed in REFUSED[path].items():
        maren.locator(f"main [name={name}]").fill(typed)

    maren.locator("main form button").last.click()

    maren.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(maren)


@pytest.mark.parametrize("path", WET)
def test_wet_gloves_hit_what_they_aim_at(maren, path):
    maren.goto(path)
    touched = maren.locator(".wet .button, .wet .choices.big label, .wet input[inputmode], .wet select")

    heights = [box["height"] for each in touched.all() if (box := each.bounding_box())]

    assert heights and min(heights) >= WET_TARGET_PX - 0.5


def test_a_towel_is_in_its_drum_in_two_taps(maren):
    maren.goto("/waste/")
    maren.get_by_role("link", name="Put something into W3/2").click()
    maren.get_by_role("button", name="It is in").click()

    maren.get_by_text("Written: Into W3/2: 1 piece").wait_for()
    assert_everybody_can_use(maren)


def test_bath_goes_from_its_own_page_into_a_drum_by_the_keyboard_alone(maren, request):
    name = f"W8 {request.node.callspec.id}"
    maren.goto("/waste/start/?kind=bath_spent")
    maren.get_by_label("What is written on it").fill(name)
    maren.locator("[name=capacity_l_0]").fill("10")
    maren.keyboard.press("Enter")
    maren.get_by_text("Written: Set up drum").wait_for()

    maren.goto("/waste/bath/1/take-out/")
    maren.get_by_label("Into which drum").select_option(label=f"{name}: Spent or unwanted copper sulfate bath")
    maren.locator("[name=litres_0]").fill("0.5")
    maren.keyboard.press("Enter")

    maren.get_by_text(f"0.5 L out, into {name}").first.wait_for()
    maren.goto("/waste/")
    maren.get_by_role("link", name=name, exact=True).click()
    maren.get_by_text("Copper in a litre:").wait_for()
    assert_everybody_can_use(maren)
