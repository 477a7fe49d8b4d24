"""Somebody writes, goes back, changes what was typed and sends it again: nothing of it may vanish."""

import pytest

from tests.studio.browser import PHONE, sign_in

pytestmark = pytest.mark.browser

JAR = "/shelf/c/C30/"


@pytest.fixture(params=["kept as it was", "fetched again"])
def page(request, chromium, demo):
    """With the browser's memory of pages left behind, as people have it, and without."""
    without = ["--disable-back-forward-cache"] if request.param == "kept as it was" else []
    browser = chromium.browser_type.launch(
        executable_path="/usr/bin/chromium", args=["--no-sandbox"], ignore_default_args=without
    )
    page = browser.new_page(viewport=PHONE, base_url=demo)
    sign_in(page)
    yield page
    browser.close()


def use(page, amount):
    page.get_by_label("Amount").first.fill(amount)
    page.locator("form[data-once] button.first").click()


def test_what_is_changed_after_going_back_is_written_as_a_line_of_its_own(page):
    page.goto(f"{JAR}use/")
    use(page, "10 g")
    page.wait_for_url(f"**{JAR}")
    # a page that was kept as it was does not load again
    page.evaluate("history.back()")
    page.get_by_role("heading", name="Use some").wait_for()

    use(page, "77 g")
    page.wait_for_url(f"**{JAR}")

    assert "Written: Used 77 g" in page.locator("#messages").inner_text()


def test_what_was_written_stands_at_the_top_with_the_focus(page):
    page.goto(f"{JAR}use/")

    use(page, "3 g")
    page.wait_for_url(f"**{JAR}")

    focused = page.evaluate("document.activeElement.textContent")
    top = page.evaluate("document.activeElement.getBoundingClientRect().top")
    assert "Written: Used 3 g" in focused and page.evaluate("window.scrollY") == 0 and top < PHONE["height"] / 4
