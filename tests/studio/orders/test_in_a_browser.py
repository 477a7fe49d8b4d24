"""The demo's pages about buying, as everybody must be able to use them: run it with `-m browser`."""

import pytest
from playwright.sync_api import sync_playwright

from tests.studio.opened import opened
from tests.studio.test_look import DESK, PHONE
from tests.studio.test_pages import assert_everybody_can_use, sign_in

PAGES = [
    "/orders/",
    "/orders/?months=12",
    "/orders/costs/",
    "/orders/costs/?first=2000-01&last=1999-01",
    "/orders/low/",
    "/orders/materials/7/",
    "/orders/materials/13/",
    "/orders/materials/7/low/",
    "/orders/suppliers/",
    "/orders/suppliers/new/",
    "/orders/suppliers/3/",
    "/orders/suppliers/3/change/",
    "/orders/suppliers/3/order/",
    "/orders/suppliers/3/packs/new/",
    "/orders/packs/7/change/",
    "/orders/lines/1/receive/",
]
REFUSED = {
    "/orders/suppliers/new/": {"name": "larkhithe chemical sundries"},
    "/orders/suppliers/3/packs/new/": {"amount": "2 L", "price_cents": "1,000"},
    "/orders/packs/7/change/": {"amount": "2.5"},
    "/orders/lines/1/receive/": {"packs": "9"},
}

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
def test_every_page_about_buying_can_be_used_by_everybody(maren, path):
    maren.goto(path)
    maren.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")

    assert_everybody_can_use(maren)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_buying_can_be_read_by_everybody(maren, path):
    maren.goto(path)
    for name, typed in REFUSED[path].items():
        maren.locator(f"main [name={name}]").fill(typed)

    maren.locator("main form button").last.click()

    maren.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(maren)


def test_what_was_ordered_is_questioned_ordered_more_and_cancelled(maren):
    maren.goto("/orders/suppliers/3/order/")
    packs = maren.get_by_label("2500 g Copper sulfate")
    packs.fill("1")
    maren.get_by_role("button", name="Write down the order").click()
    maren.get_by_text("Tick below to order more").first.wait_for()
    assert_everybody_can_use(maren)

    maren.locator(f"[name={packs.get_attribute('name').replace('packs', 'more')}]").check()
    maren.get_by_role("button", name="Write down the order").click()
    maren.get_by_text("Written: Ordered from Larkhithe Chemical Sundries").wait_for()
    maren.get_by_role("link", name="Cancel the order").last.click()
    maren.get_by_label("Why it is struck").fill("enough for the course")
    maren.locator("main form button").last.click()

    maren.goto("/orders/suppliers/3/")
    maren.get_by_text("enough for the course").first.wait_for()
    assert_everybody_can_use(maren)
