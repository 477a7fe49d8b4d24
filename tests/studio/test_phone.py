"""What pages keep to on a phone, with forced colours and with letters twice as large: run it with `-m browser`."""

import pytest

from tests.studio.browser import PHONE, sign_in, unfold

pytestmark = pytest.mark.browser

PAGES = [
    "/",
    "/baths/2/",
    "/waste/",
    "/waste/5/",
    "/shelf/",
    "/shelf/c/C25/",
    "/safety/",
    "/plates/",
    "/cathodes/2/",
    "/orders/",
]
DRAWN = [
    "/baths/2/",
    "/shelf/c/C25/",
    "/waste/months/",
    "/year/",
    "/cathodes/2/",
    "/orders/costs/",
    "/waste/balance/",
]
LEAST_LETTER_PX, MOST_LETTER_PX, LEAST_TARGET_PX = 11, 20, 44
LETTERS = """[...document.querySelectorAll('main .chart svg[role=img] text, main .rulebar text')]
  .filter((text) => text.checkVisibility() && text.textContent.trim())
  .map((text) => parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a)"""

# what stands by itself above the marks of an axis, or after the last of a rule
BARE = """[...document.querySelectorAll('main .chart:has(svg > g[text-anchor=end])')]
  .filter((chart) => ![...chart.querySelectorAll('svg > text')].some((each) => /\\p{L}|°/u.test(each.textContent)))
  .concat([...document.querySelectorAll('main .rulebar')].filter((rule) =>
    ![...rule.querySelectorAll('text')].some((each) => /\\p{L}|°/u.test(each.textContent))))
  .map((each) => each.textContent)"""
PALE = """(least) => { const light = (rgb) => rgb.match(/[\\d.]+/g).slice(0, 3).map((part) => part / 255)
    .map((part) => part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4)
    .reduce((sum, part, at) => sum + part * [0.2126, 0.7152, 0.0722][at], 0)
  const ground = light(getComputedStyle(document.documentElement).backgroundColor)
  const ratio = (ink) => (Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05)
  return [...document.querySelectorAll('main svg:not(.ghs, .icon) text')].filter((text) => text.checkVisibility())
    .filter((text) => ratio(light(getComputedStyle(text).fill)) < least).map((text) => text.textContent) }"""


@pytest.fixture(scope="module")
def hers(chromium, demo):
    """A page of the demo's keyholder, opened as asked."""
    pages = []

    def opened(**how):
        page = chromium.new_context(viewport=PHONE, base_url=demo, **how).new_page()
        sign_in(page)
        pages.append(page)
        return page

    yield opened
    for page in pages:
        page.context.close()


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_every_letter_of_a_drawing_can_be_read(hers, width):
    page = hers()
    page.set_viewport_size({"width": width, "height": 900})
    for path in DRAWN:
        page.goto(path)
        letters = page.evaluate(LETTERS)

        assert letters and min(letters) >= LEAST_LETTER_PX - 0.1, (path, min(letters, default=None))
        assert max(letters) <= MOST_LETTER_PX, (path, max(letters))


def test_every_axis_and_rule_names_its_unit_and_every_drawing_has_a_table(hers):
    page = hers()
    for path in DRAWN:
        page.goto(path)

        drawn, tables = page.locator("main .chart").count(), page.locator("main table:has(td)").count()
        assert tables >= drawn > 0 and page.evaluate(BARE) == [], path


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_letter_of_a_drawing_stands_out_from_its_ground(hers, scheme):
    """WCAG 2.2, 1.4.3."""
    page = hers(color_scheme=scheme)
    for path in [*DRAWN, "/safety/open/wall/", "/plates/62/bite/"]:
        page.goto(path)

        assert page.evaluate(PALE, 4.5) == [], path


def test_what_stands_under_also_can_be_hit(hers):
    page = hers()
    for path in PAGES:
        page.goto(path)
        unfold(page)
        heights = [each.bounding_box()["height"] for each in page.locator(".also a").all() if each.is_visible()]

        assert min(heights, default=LEAST_TARGET_PX) >= LEAST_TARGET_PX, path


def test_nothing_that_is_scrolled_to_stays_under_the_bar_at_the_foot(hers):
    page = hers()
    for path in PAGES:
        page.goto(path)
        page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
        hidden = page.evaluate(
            "[...document.querySelectorAll('main a, main button')].filter((each) => each.checkVisibility()).slice(-3)"
            ".filter((each) => each.getBoundingClientRect().bottom > "
            "document.querySelector('.foot').getBoundingClientRect().top)"
            ".map((each) => each.textContent)"
        )

        assert hidden == [], path


def test_hatching_stays_where_colours_are_forced(hers):
    page = hers(forced_colors="active")
    seen = []
    for path in PAGES:
        page.goto(path)
        seen += page.evaluate(
            "[...document.querySelectorAll('main .status:is(.fine, .look, .act)')]"
            ".map((each) => getComputedStyle(each, '::before')).filter((style) => style.content !== 'none')"
            ".map((style) => [style.backgroundImage, style.forcedColorAdjust])"
        )

    assert len(seen) > 20 and all("gradient" in image and adjust == "none" for image, adjust in seen)


def test_crossed_is_what_must_be_acted_on_alone(hers):
    page = hers()
    for path in PAGES:
        page.goto(path)
        crossed = page.evaluate(
            "[...document.querySelectorAll('main .status')].filter((each) => "
            "getComputedStyle(each, '::before').backgroundImage.split('repeating').length > 2)"
            ".map((each) => each.className)"
        )

        assert all("act" in each.split() for each in crossed), path


def test_letters_twice_as_large_burst_nothing_on_a_desk(hers):
    page = hers()
    page.set_viewport_size({"width": 1280, "height": 900})
    for path in [*PAGES, *DRAWN]:
        page.goto(path)
        page.evaluate("document.documentElement.style.fontSize = '200%'")

        assert page.evaluate("document.documentElement.scrollWidth") <= 1280, path
