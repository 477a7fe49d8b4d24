"""Local advice, flags, months and reminders, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import (
    DESK,
    PHONE,
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
)

PAGES = [
    "/waste/9/",
    "/waste/12/",
    "/waste/12/find/",
    "/waste/12/find/?ask=h_codes&ask=h318_percent&ask=process",
    "/waste/advice/",
    "/waste/advice/1/",
    "/waste/advice/2/",
    "/waste/advice/add/answer/",
    "/waste/advice/add/sewer-limit/",
    "/waste/advice/add/treatment/",
    "/waste/advice/add/collection/",
    "/waste/advice/add/hazardous/?stream=rinse",
    "/waste/rules/",
    "/waste/months/",
    "/waste/reminders/",
    "/waste/reminders/address/",
    "/waste/reminders/shut/",
]
REFUSED = {
    "/waste/advice/add/sewer-limit/": {"cu_mg_per_l": "none", "asked": "Wenlow Water"},
    "/waste/advice/add/treatment/": {"answer": "Go ahead.", "asked": "Hatherby council"},
    "/waste/12/find/?ask=h318_percent": {"h318_percent": "120"},
}
EMPTY = ["/waste/advice/", "/waste/rules/", "/waste/months/", "/waste/reminders/"]
ALLOWED = {"asked": "Hatherby council", "answer": "Soda ash, in the yard; the water goes to the carrier."}

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_about_rules_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_rules_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


def test_what_was_allowed_is_found_from_the_drum_and_struck_where_it_was_written(maren):
    maren.goto("/waste/advice/add/treatment/?stream=rinse")
    for name, typed in ALLOWED.items():
        maren.locator(f"main [name={name}]").fill(typed)
    maren.get_by_label("They said so in writing").check()
    maren.get_by_role("button", name="Write it down").click()
    maren.get_by_text("Written: Told by Hatherby council").wait_for()

    maren.goto("/waste/9/")
    maren.get_by_role("link", name="The treatment that was allowed").click()

    maren.get_by_role("heading", name="Precipitate with soda ash").wait_for()
    assert_everybody_can_use(maren)


def test_an_address_is_made_shown_and_shut(maren):
    maren.goto("/waste/reminders/")
    maren.get_by_role("link", name="Make an address").click()
    maren.get_by_role("button", name="Make it").click()

    address = maren.locator(".address").inner_text()
    assert_everybody_can_use(maren)
    assert maren.request.get(address).status == 200

    maren.get_by_role("link", name="Shut it").click()
    maren.get_by_role("button", name="Shut it").click()
    maren.get_by_role("link", name="Make an address").wait_for()
    assert maren.request.get(address).status == 404


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("path", EMPTY)
def test_an_empty_studio_sees_whom_to_ask(empty_studio, path, size):
    empty_studio.set_viewport_size(size)

    assert_everybody_can_open(empty_studio, path)
