"""The demo's and an own book's pages in a browser, as everybody must be able to use them: run it with `-m browser`."""

import re

import pytest

from tests.studio.browser import (
    PHONE,
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
    begin_own_book,
    unfold,
)
from tests.studio.opened import opened

PAGES = [
    "/shelf/",
    "/shelf/?text=dragon",
    "/shelf/?category=nonsense",
    "/shelf/?sort=-place&page=2",
    "/shelf/receive/",
    "/shelf/use/",
    "/shelf/materials/new/",
    "/shelf/materials/7/",
    "/shelf/receive/7/",
    "/shelf/c/C7/",
    "/shelf/c/C7/use/",
    "/shelf/c/C7/move/",
    "/shelf/places/new/",
    "/shelf/places/",
    "/safety/places/1/",
    "/safety/places/3/",
    "/shelf/places/3/limit/",
    "/shelf/use/several/",
    "/shelf/c/C7/open/",
    "/shelf/c/C7/finish/",
    "/shelf/c/C7/split/",
    "/shelf/c/C7/cup/",
    "/shelf/stickers/",
    "/shelf/sheets/missing/",
    "/shelf/materials/7/change/",
    "/shelf/materials/7/sheet/",
    "/shelf/?no_sheet=on",
    "/shelf/counts/",
    "/shelf/import/",
    "/closing/",
    "/closing/summer/",
    "/closing/first-day/",
    "/closing/moving/",
    "/book/",
    "/book/?text=dragon",
    "/book/20/",
    "/book/20/strike/",
    "/people/",
    "/people/1/",
    "/people/add-several/",
    "/people/password/",
    "/studio/",
    "/studio/change/",
    "/studio/begin-own/",
]
REFUSED = {
    "/shelf/materials/new/": {"name": "Copper sulphate", "reorder_level": "1 L"},
    "/shelf/receive/7/": {"amount_0": "-1 kg"},
    "/shelf/c/C7/use/": {"amount_0": "9 t"},
    "/shelf/c/C7/split/": {"amount_0": "9 t"},
    "/shelf/places/3/limit/": {"flammables_limit_ul": "9 t"},
    "/book/20/strike/": {"reason": " "},
    "/people/add-several/": {"text": ""},
    "/studio/change/": {"emergency_line": "call Ada"},
}

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("path", PAGES)
def test_every_page_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path, unfolded=False)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


def test_sheet_copper_and_a_jar_that_is_away_can_be_used_by_everybody(maren):
    name = f"Sheet of {maren.viewport_size['width']}"
    maren.goto("/shelf/materials/new/")
    maren.get_by_label("Name").first.fill(name)
    maren.get_by_label("Category", exact=True).select_option("Copper sheet and plates")
    maren.get_by_label("Measured in", exact=True).select_option("cm2")
    unfold(maren)
    maren.get_by_label("Thickness").fill("1.02 mm")
    maren.get_by_role("button", name="Write it down").click()
    maren.get_by_label("Amount").fill("600 cm2")
    maren.get_by_label("Put where", exact=True).select_option("Plate rack")
    maren.get_by_role("button", name="Write down the receipt").click()
    maren.get_by_role("link", name=re.compile(r"^C\d+$")).first.click()
    container = maren.url

    for page in ("cut/", "weigh/", "away/"):
        maren.goto(container + page)
        assert_everybody_can_use(maren)
    maren.get_by_role("button", name="It is on its way").click()
    maren.get_by_role("link", name="They confirmed it").click()

    assert_everybody_can_use(maren)


def test_an_own_book_is_begun_and_its_first_jar_used(chromium, tmp_path):
    with opened(tmp_path, "--empty") as book:
        page = chromium.new_page(viewport=PHONE, base_url=book.address)
        page.goto("/")
        assert_everybody_can_use(page)
        begin_own_book(page)

        for empty in ("/shelf/", "/shelf/receive/", "/shelf/use/", "/safety/", "/book/?kind=used"):
            page.goto(empty)
            assert_everybody_can_use(page)

        page.goto("/shelf/materials/new/")
        page.get_by_label("Name").first.fill("Copper sulfate")
        page.get_by_label("Category", exact=True).select_option("Bath salts and water")
        page.get_by_label("blue crystals").check()
        page.get_by_role("button", name="Write it down").click()
        page.get_by_label("Amount").fill("2.5 kg")
        page.get_by_label("blue crystals (CAS").check()
        page.get_by_label("Put where").select_option("Shelf")
        page.get_by_role("button", name="Write down the receipt").click()
        page.get_by_role("link", name="C1", exact=True).click()
        page.get_by_role("link", name="Use some").click()
        page.get_by_label("Amount").fill("250 g")
        page.get_by_role("button", name="Write down the use").click()

        page.get_by_text("Written: Used 250 g of Copper sulfate from C1.").wait_for()
        assert page.locator(".figure").inner_text().startswith("2250 g")
