"""How tall the pages that are asked most stand on a phone; the head and the foot of every page."""

import pytest

from tests.studio.browser import PHONE, assert_everybody_can_open, sign_in

TALLEST_PX = {
    "/": 1_500,
    "/baths/1/": 2_500,
    "/baths/2/": 2_500,
    "/waste/5/": 2_500,
    "/waste/9/": 2_500,
    "/shelf/c/C7/": 2_000,
    "/shelf/c/C23/": 2_000,
    "/shelf/": 3_000,
    "/safety/": 3_000,
    "/plates/62/bite/": 2_500,
}
HEAD_PX, GLOVE_PX, FIRST_SCREEN_PX = 56, 56, 740
TABLETS = [(768, 1024), (800, 1280), (900, 600)]

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", params=["light", "dark"])
def phone(request, chromium, demo):
    """The demo's keyholder at her phone, by day and in the dark."""
    with chromium.new_context(viewport=PHONE, base_url=demo, color_scheme=request.param) as hers:
        page = hers.new_page()
        sign_in(page)
        yield page


@pytest.fixture(scope="module")
def hers(chromium, demo):
    """The demo's keyholder at a page that is made as wide as a test wants it."""
    with chromium.new_context(base_url=demo) as context:
        page = context.new_page()
        sign_in(page)
        yield page


def settled(page, path):
    page.goto(path)
    page.wait_for_load_state("networkidle")
    return page


def height_of(page) -> int:
    return page.evaluate("document.documentElement.scrollHeight")


@pytest.mark.parametrize("path", TALLEST_PX)
def test_a_page_is_short_on_a_phone(phone, path):
    assert height_of(settled(phone, path)) <= TALLEST_PX[path]


@pytest.mark.parametrize("path", TALLEST_PX)
def test_a_page_can_be_used_by_everybody_by_day_and_in_the_dark(phone, path):
    assert_everybody_can_open(phone, path)


def test_first_aid_is_one_touch_away_at_the_right_of_one_line(phone):
    head = settled(phone, "/").locator("header.head")
    splash = head.get_by_role("link", name="Splash").bounding_box()

    assert head.bounding_box()["height"] <= HEAD_PX
    assert splash["x"] + splash["width"] == pytest.approx(PHONE["width"], abs=1) and splash["height"] >= 44

    head.get_by_role("link", name="Splash").click()

    assert phone.get_by_role("heading", name="In the eye").bounding_box()["y"] < FIRST_SCREEN_PX


def test_five_places_are_at_the_thumb_and_the_rest_behind_more(phone):
    foot = settled(phone, "/").get_by_role("navigation", name="Main")
    places = [link for link in foot.get_by_role("link").all() if link.is_visible()]
    assert len(places) == 5
    assert min(link.bounding_box()["height"] for link in places) >= GLOVE_PX - 0.5
    assert max(link.bounding_box()["y"] for link in places) < FIRST_SCREEN_PX

    foot.get_by_text("More").click()

    assert (
        foot.get_by_role("link", name="Safety").is_visible()
        and foot.get_by_role("button", name="Sign out").is_visible()
    )


@pytest.mark.parametrize(("width", "height"), TABLETS)
def test_on_a_tablet_the_head_is_one_row_and_nothing_bursts_its_frame(hers, width, height):
    hers.set_viewport_size({"width": width, "height": height})

    page = settled(hers, "/")

    assert page.locator("header.head").bounding_box()["height"] <= HEAD_PX
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_at_a_desk_the_bench_is_one_screen_and_a_half_with_every_place_in_one_row(hers):
    hers.set_viewport_size({"width": 1280, "height": 900})

    page = settled(hers, "/")

    assert height_of(page) <= 1_250
    assert page.locator("header.head").bounding_box()["height"] <= HEAD_PX
    assert page.get_by_role("navigation", name="Main").get_by_role("link").count() == 11


@pytest.mark.parametrize("path", TALLEST_PX)
def test_text_twice_as_large_bursts_no_frame(hers, path):
    hers.set_viewport_size({"width": 1280, "height": 900})
    page = settled(hers, path)

    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")

    assert page.evaluate("document.documentElement.scrollWidth") <= 1280


def test_the_acts_stand_in_the_first_screen_before_the_baths(phone):
    page = settled(phone, "/")

    for name in ("Start a bite", "Top up", "Read", "Use", "Spill"):
        box = page.locator(".acts").get_by_role("link", name=name, exact=True).bounding_box()
        assert box["height"] >= GLOVE_PX and box["y"] + box["height"] < page.locator(".bath").first.bounding_box()["y"]


def test_every_button_of_the_bench_says_a_deed(phone):
    page = settled(phone, "/")

    labels = [button.text_content().strip() for button in page.locator("main .button").all()]

    assert len(labels) > 8 and "Look" not in labels
    assert page.locator("main .button.first").count() == 1


def test_the_shelf_shows_25_jars_in_one_line_each(phone):
    rows = settled(phone, "/shelf/").locator("table.jars tbody tr")

    assert rows.count() == 25
    assert max(row.bounding_box()["height"] for row in rows.all()) <= 84


def test_before_a_bite_the_six_checks_the_tick_and_the_start_stand_in_one_screen(phone):
    page = settled(phone, "/plates/62/bite/")
    first, start = page.locator(".checks li").first, page.get_by_role("button", name="Current on in Small tank")
    tick = page.get_by_label("All six are so")

    span = start.bounding_box()["y"] + start.bounding_box()["height"] - first.bounding_box()["y"]

    assert page.locator(".checks > ol > li").count() == 6
    assert span < FIRST_SCREEN_PX - GLOVE_PX
    assert first.bounding_box()["y"] < tick.bounding_box()["y"] < start.bounding_box()["y"]


SCANNED = {
    "/safety/open/c/C7/": ["Use", "Count", "Move"],
    "/safety/open/materials/27/": ["Receive", "Buy"],
    "/safety/open/baths/2/": ["Top up", "Read"],
    "/safety/open/drums/1/": ["Put in", "Look over"],
}


@pytest.mark.parametrize("path", SCANNED)
def test_a_scanned_code_shows_the_eye_first_then_the_hazards_then_whom_to_call(chromium, demo, path):
    stranger = chromium.new_page(viewport=PHONE, base_url=demo)
    stranger.goto(path)

    eye, band, calls = (stranger.locator(f"main {each}").bounding_box() for each in (".aid", ".band", ".calls"))

    assert eye["y"] + eye["height"] < band["y"] < FIRST_SCREEN_PX and band["y"] < calls["y"]
    assert "In the eye" in stranger.locator("main .aid").inner_text()
    assert stranger.get_by_role("link", name="Sign in to its page").bounding_box()["y"] < HEAD_PX


def test_a_scanned_bath_says_in_words_how_it_stands(chromium, demo):
    stranger = chromium.new_page(viewport=PHONE, base_url=demo)
    stranger.goto("/safety/open/baths/2/")

    assert "over-strong: 286" in stranger.locator("main").inner_text()


@pytest.mark.parametrize(("path", "deeds"), SCANNED.items())
def test_signed_in_a_scanned_thing_begins_with_what_is_done_with_it_and_the_eye(phone, path, deeds):
    page = settled(phone, path)
    strip, known = page.locator(".strip").get_by_role("link"), page.locator(".glance li")

    assert [link.inner_text().strip() for link in strip.all()] == [*deeds, "Its page"]
    assert known.count() >= 1 and known.first.inner_text().strip()
    assert all(link.bounding_box()["y"] < 220 for link in strip.all())
    assert page.locator("main .aid").bounding_box()["y"] < FIRST_SCREEN_PX - GLOVE_PX
    assert page.locator(".head .splash").bounding_box()["y"] < HEAD_PX


def test_what_is_folded_is_printed_and_opens_without_scripts(chromium, demo, phone):
    page = settled(phone, "/baths/2/")
    fold = page.get_by_role("link", name="Drips off plates")
    assert not fold.is_visible()

    with chromium.new_context(viewport=PHONE, base_url=demo, java_script_enabled=False) as context:
        context.add_cookies(phone.context.cookies())
        plain = context.new_page()
        plain.goto("/baths/2/")
        plain.get_by_text("more acts").click()
        assert plain.get_by_role("link", name="Drips off plates").is_visible()

    page.emulate_media(media="print")
    assert page.locator("#log details .book li").first.is_visible()
    page.emulate_media(media=None)
