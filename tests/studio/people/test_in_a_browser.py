"""The demo's people, their inductions and the tablet in a browser: run it with `-m browser`."""

from datetime import timedelta

import pytest

from tests.studio.browser import (
    PHONE,
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
    sign_in,
)
from tests.studio.opened import opened

PAGES = [
    "/people/",
    "/people/1/",
    "/people/2/",
    "/people/inductions/",
    "/people/2/induct/",
    "/people/pin/",
    "/people/tablets/",
    "/people/tablets/mark/",
    "/studio/change/",
    "/",
]
REFUSED = {
    "/people/2/induct/": {"until_on": "2001-01-01"},
    "/people/pin/": {"password": "guess", "pin": "1111"},
    "/people/tablets/mark/": {"name": " "},
}
PASSWORD = "tallow-street"

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_about_people_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_people_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


@pytest.mark.parametrize("path", ["/people/inductions/", "/people/tablets/", "/people/pin/"])
def test_an_own_book_says_on_empty_pages_what_they_are_for(empty_studio, path):
    assert_everybody_can_open(empty_studio, path)


def test_the_tablet_goes_from_hand_to_hand(chromium, demo):
    """Nell chooses a PIN at home; Maren marks the tablet; Nell opens it, works, and it closes behind her."""
    home = chromium.new_page(viewport=PHONE, base_url=demo)
    sign_in(home, "nell", PASSWORD)
    home.goto("/people/pin/")
    home.get_by_label("Password you sign in with").fill(PASSWORD)
    home.get_by_label("PIN", exact=True).fill("2718")
    home.get_by_label("The same PIN again").fill("2718")
    home.get_by_role("button", name="Choose it").click()
    home.get_by_text("Your PIN is chosen").wait_for()

    tablet = chromium.new_context(viewport={"width": 820, "height": 1180}, base_url=demo).new_page()
    tablet.clock.install()
    sign_in(tablet)
    tablet.goto("/people/tablets/mark/")
    tablet.get_by_label("Name").fill("Tablet by the tank")
    tablet.get_by_role("button", name="Mark it").click()
    tablet.get_by_text("After ten minutes at rest").wait_for()
    assert_everybody_can_use(tablet)

    tablet.get_by_label("Nell Varga").check()
    tablet.get_by_label("Your PIN").fill("1718")
    tablet.get_by_role("button", name="Open the book").click()
    tablet.get_by_text("That is not the PIN of Nell Varga.").wait_for()
    assert_everybody_can_use(tablet)

    tablet.get_by_label("Your PIN").fill("2718")
    tablet.keyboard.press("Enter")
    tablet.get_by_role("button", name="Done: who is next?").wait_for()
    tablet.goto("/shelf/")
    tablet.clock.run_for(timedelta(minutes=9).total_seconds() * 1000)
    assert tablet.url.endswith("/shelf/")

    tablet.clock.run_for(timedelta(minutes=2).total_seconds() * 1000)
    tablet.get_by_text("After ten minutes at rest").wait_for()
    tablet.goto("/shelf/")
    tablet.get_by_text("Who are you?").first.wait_for()


@pytest.mark.parametrize("zone", ["America/Chicago", "Europe/Zurich"])
def test_whoever_begins_a_book_is_offered_the_time_zone_of_the_browser(chromium, tmp_path, zone):
    with opened(tmp_path, "--empty") as book, chromium.new_context(timezone_id=zone, base_url=book.address) as hers:
        page = hers.new_page()
        page.goto("/studio/begin/")

        assert page.locator("#id_time_zone").input_value() == zone
