"""The overview, a copied sheet and a label, as everybody must be able to use them: run it with `-m browser`."""

import pytest

from tests.studio.browser import assert_everybody_can_open, assert_everybody_can_use

PAGES = [
    "/safety/",
    "/safety/open/baths/2/",
    "/safety/open/materials/23/",
    "/safety/open/materials/11/",
    "/safety/materials/31/classes/",
    "/safety/materials/7/label/",
    "/safety/baths/1/label/",
]

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_about_hazards_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


def test_a_refused_statement_can_be_read_by_everybody(maren):
    maren.goto("/safety/materials/33/classes/")
    maren.get_by_label("Date of the sheet").fill("2024-01-31")
    maren.get_by_label("Hazard statements").fill("Danger")

    maren.get_by_role("button", name="Write it down").click()

    maren.get_by_text("does not begin with a code").wait_for()
    assert_everybody_can_use(maren)


def test_the_bench_asks_for_a_label_of_the_tank_that_dried(maren):
    maren.goto("/")

    maren.get_by_text("The label of Small tank").first.wait_for()
