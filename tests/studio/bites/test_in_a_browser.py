"""Plates, bites and above all the clock of a bite in a browser: run it with `-m browser`."""

import re
from contextlib import contextmanager
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from tests.studio.browser import (
    PHONE,
    assert_everybody_can_open,
    assert_everybody_can_read_the_refusal,
    assert_everybody_can_use,
    sign_in,
)

PAGES = [
    "/plates/",
    "/plates/?text=dragon",
    "/plates/new/",
    "/plates/send/",
    "/plates/back/",
    "/plates/1/",
    "/plates/50/",
    "/plates/50/prepare/",
    "/plates/50/weigh/",
    "/plates/50/bite/",
    "/bites/",
    "/bites/?deeper=deep",
    "/bites/start/",
    "/bites/start/unlisted/",
    "/bites/write/",
    "/bites/cards/",
    "/bites/78/",
    "/bites/78/put-right/",
    "/bites/efficiency/",
    "/bites/plan/?bath=1&depth=20",
    "/bites/recipe/?their_minutes=30&their_amps=0.8&their_cm2=40+cm2&our_amps=1.3",
]
REFUSED = {
    "/plates/new/": {"size": "6", "mass_g": "a lot"},
    "/plates/50/prepare/": {"exposed_0": "900"},
    "/plates/50/weigh/": {"mass_g": "-3"},
    "/plates/50/bite/": {"planned_min": "1,000"},
    "/bites/write/": {"amps": "50"},
    "/bites/78/put-right/": {"minutes": ""},
    "/bites/efficiency/": {"percent": "1.03"},
}
HEARD = """
window.rung = [];
navigator.vibrate = (beats) => { window.rung.push("vibrated"); return true };
window.AudioContext = class extends AudioContext {
  createOscillator() { window.rung.push("sounded"); return super.createOscillator() }
};
"""
LONDON = ZoneInfo("Europe/London")  # where the demo's studio stands
LOOK_AGAIN = "document.dispatchEvent(new Event('visibilitychange'))"

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def signed_in(chromium, demo):
    """What a browser keeps of somebody who signed in."""
    page = chromium.new_page(base_url=demo)
    sign_in(page)
    page.get_by_role("button", name="Sign out").wait_for()
    yield page.context.storage_state()
    page.context.close()


@pytest.fixture
def bench(chromium, demo, signed_in):
    """Opens one more telephone that is signed in; complaints of its browser fail the test."""
    complaints, telephones = [], []

    @contextmanager
    def telephone(**options):
        context = chromium.new_context(viewport=PHONE, base_url=demo, storage_state=signed_in, **options)
        telephones.append(context)
        page = context.new_page()
        page.on("console", lambda said: said.type in ("error", "warning") and complaints.append(said.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        yield page

    yield telephone
    for context in telephones:
        context.close()
    # a telephone without a connection says so in its console, and that is no fault
    assert [words for words in complaints if "ERR_INTERNET_DISCONNECTED" not in words] == []


@pytest.mark.parametrize("path", PAGES)
def test_every_page_of_plates_can_be_used_by_everybody(maren, path):
    assert_everybody_can_open(maren, path)


@pytest.mark.parametrize("path", REFUSED)
def test_a_refusal_about_plates_can_be_read_by_everybody(maren, path):
    assert_everybody_can_read_the_refusal(maren, path, REFUSED[path])


def test_a_line_of_a_card_that_is_refused_can_be_read_by_everybody(maren):
    maren.goto("/bites/cards/")
    maren.locator("[name=line0-minutes]").fill("30")
    maren.locator("[name=line0-amps]").fill("50")

    maren.get_by_role("button", name="Write all lines").click()

    maren.get_by_text("Line 1 was not written yet").wait_for()
    assert_everybody_can_use(maren)


# the clock of a bite


def start(page, *, minutes="30", ago=timedelta()):
    """A bite of a plate that is not in the book; a second one beside those that other tests left."""
    page.goto("/bites/start/unlisted/")
    page.get_by_label("Minutes").fill(minutes)
    page.get_by_label("All six are so").check()
    if ago:
        page.get_by_text("Now, by me").click()
        page.get_by_label("When").fill(f"{datetime.now(LONDON) - ago:%Y-%m-%dT%H:%M:%S}")
    page.get_by_role("button", name="Current on in Upright tank").click()
    page.locator("#count, [data-focus]").first.wait_for()
    if not page.locator("#count").count():
        page.get_by_label("Bite a second plate beside it").check()
        page.get_by_role("button", name="Current on").click()
    page.wait_for_url(re.compile(r"/bites/\d+/$"))


def left(page) -> int:
    """Seconds on the clock."""
    expect(page.locator("#count")).to_have_text(re.compile(r"^\d+:\d\d$"))
    minutes, seconds = page.locator("#count").text_content().split(":")
    return 60 * int(minutes) + int(seconds)


def servers_clock(page, *, ahead: timedelta):
    """Let the book's machine say that it is later."""

    def answer(route):
        told = route.fetch().json()
        route.fulfill(json=told | {"now": told["now"] + ahead.total_seconds() * 1000})

    page.route("**/clock/*", answer)


def stop(page):
    page.get_by_role("button", name="Current off").click()


def test_the_time_left_is_counted_and_stands_in_the_title(bench):
    with bench() as page:
        start(page)

        assert 1795 <= left(page) <= 1800
        assert re.match(r"(30:00|29:5\d) · The plate, ", page.title())
        assert_everybody_can_use(page)


def test_a_telephone_whose_clock_is_wrong_counts_by_the_books_machine(bench):
    with bench() as page:
        page.clock.install(time=datetime.now() + timedelta(hours=3))
        start(page)

        assert 1795 <= left(page) <= 1800


def test_a_reload_goes_on_where_the_time_is(bench):
    with bench() as page:
        start(page, ago=timedelta(minutes=10))

        page.reload()

        assert 1190 <= left(page) <= 1200


def test_a_page_that_slept_takes_the_time_from_the_books_machine(bench):
    with bench() as page:
        start(page)
        servers_clock(page, ahead=timedelta(minutes=12))

        page.evaluate(LOOK_AGAIN)

        expect(page.locator("#count")).to_have_text(re.compile(r"^17:[45]\d$"))


def test_the_end_is_heard_felt_and_seen(bench):
    with bench() as page:
        page.add_init_script(HEARD)
        start(page)
        page.get_by_role("button", name="Let this page ring").click()
        page.get_by_text("It rings here as long as this page stays open").wait_for()
        servers_clock(page, ahead=timedelta(minutes=31))

        page.evaluate(LOOK_AGAIN)

        page.get_by_text("Current off, then the plate out.").wait_for()
        expect(page).to_have_title(re.compile("^Time is up · The plate"))
        page.wait_for_timeout(500)
        assert page.evaluate("rung").count("sounded") >= 4 and "vibrated" in page.evaluate("rung")
        assert_everybody_can_use(page)


def test_a_page_that_was_not_allowed_to_ring_still_shows_the_end(bench):
    with bench() as page:
        page.add_init_script(HEARD)
        start(page)
        servers_clock(page, ahead=timedelta(minutes=31))

        page.evaluate(LOOK_AGAIN)

        page.get_by_text("Current off, then the plate out.").wait_for()
        assert page.evaluate("rung") == []


def test_a_stop_on_one_telephone_is_seen_on_the_other(bench):
    with bench() as page, bench() as other:
        start(page)
        other.goto(page.url)
        assert left(other) > 1700

        stop(page)
        page.get_by_text("Nobody wrote down what the current was").wait_for()
        other.evaluate(LOOK_AGAIN)

        other.get_by_text("Nobody wrote down what the current was").wait_for()


def test_a_stop_tapped_without_a_connection_counts_from_its_tap(bench):
    with bench() as page:
        page.clock.install()
        start(page, ago=timedelta(minutes=10))
        page.context.set_offline(True)

        stop(page)
        page.get_by_text("is not written yet: the book does not answer").wait_for()
        page.clock.fast_forward("02:00")
        page.get_by_text("is not written yet").wait_for()
        page.context.set_offline(False)
        page.clock.run_for(6000)

        expect(page.locator(".figure").first).to_have_text(re.compile(r"It ran\s*8\s*min"))
        assert page.evaluate("localStorage.length") == 0


def test_a_stop_that_is_kept_survives_a_reload(bench):
    with bench() as page:
        start(page, ago=timedelta(minutes=10))
        page.route("**/stop/", lambda route: route.abort("internetdisconnected"))
        stop(page)
        page.get_by_text("is not written yet").wait_for()

        page.unroute("**/stop/")
        page.reload()

        expect(page.locator(".figure").first).to_have_text(re.compile(r"It ran\s*10\s*min"))


def test_a_reading_that_the_book_asks_about_shows_its_question(bench):
    with bench() as page:
        start(page)

        page.locator("#read_amps").fill("50")
        page.get_by_role("button", name="Write the reading").click()

        page.get_by_text("50 is outside 0 to 20 A").first.wait_for()


def test_readings_are_written_while_the_clock_runs(bench):
    with bench() as page:
        start(page)

        page.locator("#read_amps").fill("1.2")
        page.get_by_role("button", name="Write the reading").click()

        page.get_by_role("cell", name="1.2").wait_for()
        assert left(page) > 1700


def test_without_scripts_a_bite_starts_is_read_and_stops(bench):
    with bench(java_script_enabled=False) as page:
        start(page)
        assert re.fullmatch(r"\d\d:\d\d", page.locator("#count").text_content())

        page.locator("#read_amps").fill("1.2")
        page.get_by_role("button", name="Write the reading").click()
        stop(page)

        page.get_by_text("Charge:").wait_for()


@pytest.mark.parametrize("name", ["Current off: stop the clock", "Write the reading", "Let this page ring"])
def test_what_is_tapped_with_wet_gloves_is_big_enough(bench, name):
    with bench() as page:
        start(page)

        assert page.get_by_role("button", name=name).bounding_box()["height"] >= 56
