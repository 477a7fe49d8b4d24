"""A real browser and the demo's book opened for it; what every test in it does."""

import shutil
import signal
from contextlib import contextmanager

import pytest

from tests.studio.opened import opened

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 900}
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
WET_TARGET_PX = 56


@pytest.fixture(scope="session")
def chromium():
    """One browser for all tests."""
    from playwright.sync_api import sync_playwright  # here, or every run of the suite would wait for it

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The demo's book, written once and closed again."""
    folder = tmp_path_factory.mktemp("demo")
    with opened(folder) as book:
        assert book.close(signal.SIGINT) == 0, book.said
    return folder


@pytest.fixture(scope="module")
def demo(demo_folder, tmp_path_factory):
    """Where the module's own copy of the demo's book is open."""
    folder = tmp_path_factory.mktemp("copy") / "demo"
    shutil.copytree(demo_folder, folder)
    with opened(folder) as book:
        yield book.address


@pytest.fixture(scope="module", params=[PHONE, DESK], ids=["phone", "desk"])
def maren(request, chromium, demo):
    """The demo's keyholder at her phone, then at her desk."""
    with chromium.new_context(viewport=request.param, base_url=demo) as hers:
        page = hers.new_page()
        sign_in(page)
        yield page


@pytest.fixture(scope="session")
def empty_studio(chromium, tmp_path_factory):
    """The keyholder of a book that was begun a minute ago, at her phone."""
    folder = tmp_path_factory.mktemp("empty")
    with opened(folder, "--empty") as book, chromium.new_context(viewport=PHONE, base_url=book.address) as hers:
        page = hers.new_page()
        page.goto("/")
        begin_own_book(page)
        yield page


def sign_in(page, username="maren", password="tallow-street"):
    page.goto("/people/sign-in/")
    page.get_by_label("Name you sign in with").fill(username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "sign-in" not in url)


def begin_own_book(page):
    """On the first page of an empty book."""
    for label, typed in {"Name of the studio": "Mill Lane", "Your name": "Ada Brook"}.items():
        page.get_by_label(label).fill(typed)
    page.get_by_label("Name to sign in with").fill("ada")
    page.get_by_label("Password", exact=True).fill("etched in blue")
    page.get_by_label("The same password again").fill("etched in blue")
    page.get_by_role("button", name="Begin the book").click()
    page.get_by_text("The book of Mill Lane is open").wait_for()


def unfold(page):
    page.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = true })")


def assert_everybody_can_use(page):
    from axe_playwright_python.sync_playwright import Axe

    size = page.viewport_size
    # as tall as the page: what lies under the bar at the foot is scrolled clear of it by whoever touches it
    page.set_viewport_size(size | {"height": max(size["height"], page.evaluate("document.body.scrollHeight"))})
    found = Axe().run(page, options={"runOnly": WCAG})
    page.set_viewport_size(size)

    assert found.violations_count == 0, found.generate_report()
    assert page.evaluate("document.documentElement.scrollWidth") == page.viewport_size["width"]
    if size == PHONE:
        assert missed_by_fingers(page) == []


def missed_by_fingers(page) -> list[str]:
    """What is too small to be touched on a screen of this size, wherever on it it is scrolled to."""
    from axe_playwright_python.sync_playwright import Axe

    # under the bar at the foot anything is too small, until it is scrolled clear of it
    page.evaluate("document.querySelectorAll('.foot').forEach((foot) => { foot.style.position = 'static' })")
    found = Axe().run(page, options={"runOnly": {"type": "rule", "values": ["target-size"]}})
    page.evaluate("document.querySelectorAll('.foot').forEach((foot) => { foot.style.position = '' })")
    return [" ".join(node["target"]) for rule in found.response["violations"] for node in rule["nodes"]]


def assert_everybody_can_open(page, path, *, unfolded=True):
    """The page can be used by everybody, and the browser has nothing to complain of."""
    with no_complaints(page):
        page.goto(path)
        if unfolded:
            unfold(page)

        assert_everybody_can_use(page)


@contextmanager
def no_complaints(page):
    complaints = []

    def hear(message):
        if message.type in ("error", "warning"):
            complaints.append(message.text)

    page.on("console", hear)
    yield
    page.remove_listener("console", hear)
    assert complaints == []


def assert_everybody_can_read_the_refusal(page, path, typed):
    """Of a form that was filled in wrongly."""
    page.goto(path)
    unfold(page)
    for name, value in typed.items():
        page.locator(f"main [name={name}]").fill(value)

    page.locator("main form button").last.click()

    page.get_by_text("Nothing was written yet").wait_for()
    assert_everybody_can_use(page)


def assert_wet_gloves_hit(page, path):
    page.goto(path)
    touched = page.locator(".wet .button, .wet .choices.big label, .wet input[inputmode], .wet select")

    heights = [box["height"] for each in touched.all() if (box := each.bounding_box())]

    assert heights and min(heights) >= WET_TARGET_PX - 0.5
