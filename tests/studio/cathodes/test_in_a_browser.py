"""The demo's cathodes, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import (
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
    assert_wet_gloves_hit,
)

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

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_the_cathodes_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_a_cathode_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


@pytest.mark.parametrize("path", ["/waste/cathode/1/strip/", "/cathodes/1/weigh/", "/cathodes/hang/"])
def test_wet_gloves_hit_what_they_aim_at(maren, path):
    assert_wet_gloves_hit(maren, path)


def test_a_strip_is_written_by_the_keyboard_alone(maren):
    maren.goto("/waste/cathode/2/strip/")
    maren.get_by_label("Amount").focus()
    maren.keyboard.type("2")
    maren.keyboard.press("Enter")

    maren.get_by_text("Written: Stripped").wait_for()
    assert_everybody_can_use(maren)
    maren.goto("/waste/balance/")
    assert_everybody_can_use(maren)
