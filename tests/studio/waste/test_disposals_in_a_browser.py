"""Disposals, incidents and the folder of the demo, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import assert_everybody_can_open, assert_everybody_can_use, assert_wet_gloves_hit

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

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_what_left_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


def test_a_refused_report_can_be_read_by_everybody(maren):
    maren.goto("/waste/incidents/report/")
    maren.locator("[name=litres_0]").fill("a lot")

    maren.get_by_role("button", name="Report it").click()

    maren.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(maren)


def test_what_must_not_wait_is_read_before_anything_is_typed(maren):
    maren.goto("/waste/incidents/report/")

    aid = maren.get_by_text("running water, lids open").bounding_box()
    first = maren.locator("main form label").first.bounding_box()

    assert aid["y"] < first["y"]


def test_wet_gloves_hit_what_they_aim_at(maren):
    assert_wet_gloves_hit(maren, "/waste/incidents/report/")


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


@pytest.mark.parametrize("path", EMPTY)
def test_an_empty_studio_sees_the_next_step(empty_studio, path):
    assert_everybody_can_open(empty_studio, path)
