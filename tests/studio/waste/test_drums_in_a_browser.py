"""The demo's drums, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import (
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
    assert_wet_gloves_hit,
)

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

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_the_drums_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_a_drum_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


@pytest.mark.parametrize("path", WET)
def test_wet_gloves_hit_what_they_aim_at(maren, path):
    assert_wet_gloves_hit(maren, path)


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
    maren.get_by_text("Copper, by volume", exact=True).wait_for()
    assert_everybody_can_use(maren)
