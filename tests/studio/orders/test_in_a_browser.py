"""The demo's pages about buying, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import (
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
)

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


@pytest.mark.parametrize("path", PAGES)
def test_every_page_about_buying_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_buying_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


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
