"""The pages as a browser shows them. Everything here drives Chromium: run it with `-m browser`."""

from threading import Thread
from wsgiref.simple_server import WSGIRequestHandler, make_server

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.handlers.wsgi import WSGIHandler
from django.test import override_settings

from tests.studio.browser import DESK, PHONE, WCAG

TOUCHED = ".bench .button, .wet .button, .wet .choices label, .wet .amount input, .wet textarea, .wet select"

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address():
    """Where the living sheet is served, under the shop's own content policy and without a database."""
    with override_settings(ROOT_URLCONF="tests.studio.sheet", MIDDLEWARE=["studio.server.front.content_policy"]):
        server = make_server("127.0.0.1", 0, StaticFilesHandler(WSGIHandler()), handler_class=Quiet)
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()
        server.server_close()


class Quiet(WSGIRequestHandler):
    def log_message(self, *args):
        """Nothing: a request is no news."""


@pytest.fixture
def open_page(chromium, address):
    """Opens a page as a browser does, and fails on any complaint of the browser's."""
    complaints = []

    def opened(path="/sheet/", viewport=DESK, **options):
        page = chromium.new_page(viewport=viewport, **options)
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(f"{address}{path}")
        page.evaluate("document.fonts.ready")
        return page

    yield opened
    assert complaints == []


@pytest.mark.parametrize("viewport", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("path", ["/sheet/", "/first-aid/"])
def test_every_component_can_be_used_by_everybody(open_page, path, viewport):
    page = open_page(path, viewport)
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true })")

    # as tall as the page: nothing lies under the bar at the foot
    page.set_viewport_size(viewport | {"height": page.evaluate("document.body.scrollHeight")})
    found = Axe().run(page, options={"runOnly": WCAG})

    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("path", ["/sheet/", "/first-aid/"])
def test_nothing_runs_off_the_side_of_a_phone(open_page, path):
    page = open_page(path, PHONE)

    assert page.evaluate("document.documentElement.scrollWidth") == 360


def test_what_is_touched_at_the_bench_is_big_enough_for_wet_gloves(open_page):
    touched = [each for each in open_page("/sheet/", PHONE).locator(TOUCHED).all() if each.is_visible()]
    heights = [each.bounding_box()["height"] for each in touched]

    assert len(heights) > 8 and min(heights) >= 56


def test_the_pages_letters_are_their_own(open_page):
    loaded = "[...document.fonts].filter((face) => face.status === 'loaded').map((face) => face.family)"

    assert "Source Sans Pro" in " ".join(open_page().evaluate(loaded))


def test_the_drawings_follow_the_policy_and_are_seen(open_page):
    page = open_page()

    assert page.evaluate("document.querySelector('.chart svg').getBoundingClientRect().height") > 100
    assert page.evaluate("document.querySelectorAll('[style]').length") == 0


def test_without_scripts_the_page_is_whole(open_page):
    page = open_page("/sheet/", PHONE, java_script_enabled=False)

    assert page.get_by_role("link", name="Start a bite").is_visible()
    assert page.get_by_role("navigation", name="Main").get_by_role("link").count() >= 5


def test_a_second_tap_sends_nothing(open_page):
    page = open_page()
    page.evaluate(
        "window.stopped = [];"
        "window.addEventListener('submit', (tap) => { stopped.push(tap.defaultPrevented); tap.preventDefault() })"
    )

    button = page.locator("form.wet button").first
    button.click()
    button.click(force=True)

    assert page.evaluate("stopped") == [False, True]
    assert button.get_attribute("aria-disabled") == "true"


def test_typing_says_that_nothing_is_written_yet(open_page):
    page = open_page()

    page.get_by_label("Water, L", exact=True).first.fill("0.26")

    assert page.locator("form.wet .unsaved").is_visible()
