"""What opens without signing in, read with the network gone: run it with `-m browser`."""

import re

import pytest
from playwright.sync_api import expect

from tests.studio.browser import DESK, PHONE, assert_everybody_can_open, assert_everybody_can_use, sign_in

OPEN = "/safety/open/"
OPEN_PAGES = [OPEN, "/safety/open/wall/", "/safety/open/baths/1/", "/safety/open/materials/1/", "/first-aid/"]
KEYHOLDERS_PAGES = [
    "/safety/chemicals/",
    "/safety/chemicals/?on=2001-01-01",
    "/safety/chemicals/?on=2199-01-01",
    "/safety/together/",
    "/safety/booklet/",
    "/safety/evidence/",
    "/safety/open/wall/",
]
SAVED = re.compile(r"was saved on \d{1,2} \w+ \d{4} at \d{1,2}:\d{2}")

pytestmark = pytest.mark.browser


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def passer_by(request, chromium, demo):
    """Somebody who never signed in."""
    return chromium.new_page(viewport=request.param, base_url=demo)


@pytest.mark.parametrize("path", OPEN_PAGES)
def test_every_open_page_can_be_used_by_everybody(passer_by, path):
    assert_everybody_can_open(passer_by, path)


@pytest.mark.parametrize("path", KEYHOLDERS_PAGES)
def test_every_page_about_rooms_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


def test_a_booklet_is_printed_while_its_page_tells_how_far_it_is(chromium, demo):
    page = chromium.new_page(viewport=PHONE, base_url=demo)
    sign_in(page)
    page.goto("/safety/booklet/")

    page.get_by_role("button", name="Print the booklet").click()
    page.locator("progress").wait_for()
    assert_everybody_can_use(page)
    page.get_by_text("Sheets that are printed:").wait_for(timeout=60_000)

    page.get_by_role("link", name="Open it").wait_for(timeout=180_000)
    assert_everybody_can_use(page)


def kept(page):
    """Once the browser has everything."""
    page.goto(OPEN)
    expect(page.locator("#kept")).to_contain_text("saved on", timeout=60_000)


@pytest.mark.parametrize("path", OPEN_PAGES)
def test_with_the_network_gone_an_open_page_is_read_with_the_date_it_was_saved(chromium, demo, path):
    page = chromium.new_page(viewport=PHONE, base_url=demo)
    kept(page)
    page.goto(path)
    online = page.locator("h1").first.inner_text()
    page.context.set_offline(True)

    page.reload()

    assert page.locator("h1").first.inner_text() == online
    assert SAVED.search(page.locator("#saved").inner_text())
    assert page.evaluate("document.fonts.check('1em \"Source Sans Pro\"')")
    assert_everybody_can_use(page)


def test_with_the_network_gone_a_jar_nobody_looked_at_is_read_as_its_material(chromium, demo):
    page = chromium.new_page(viewport=PHONE, base_url=demo)
    kept(page)
    jar, material = next(iter(page.request.get(f"{OPEN}kept.json").json()["codes"].items()))
    page.goto(material)
    name = page.locator("h1").first.inner_text()
    page.context.set_offline(True)

    page.goto(jar)

    assert page.locator("h1").first.inner_text() == name
    assert SAVED.search(page.locator("#saved").inner_text())


def test_with_the_network_gone_any_other_page_leads_to_what_was_kept(chromium, demo):
    page = chromium.new_page(viewport=PHONE, base_url=demo)
    kept(page)
    page.context.set_offline(True)

    page.goto("/baths/")

    assert page.get_by_role("link", name="Eye splash or spill").first.is_visible()
    assert SAVED.search(page.locator("#saved").inner_text())


def test_what_a_browser_keeps_names_nobody(chromium, demo):
    page = chromium.new_page(viewport=DESK, base_url=demo)
    sign_in(page)
    page.get_by_role("button", name="Sign out").wait_for()
    kept(page)
    assert "Sign out" in page.content()
    page.context.set_offline(True)

    page.reload()

    assert SAVED.search(page.locator("#saved").inner_text())
    assert "Maren" not in page.content() and "Sign out" not in page.content()
