"""
Ten acts of the bench as a new member does them on a phone of 360 px: taps, fields and seconds.

`.venv/bin/python -m tests.bench_acts` prints the table. A tap is a touch that goes somewhere or chooses something, a
field one that is typed into, each counted from the bench or from the scanned code. The phone is slow: its processor is
throttled four times, its network gives 400 kbit/s after 400 ms. Seconds are what the phone takes, without what somebody
thinks.
"""

import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from playwright.sync_api import Browser, CDPSession, Page, sync_playwright

from tests.studio.browser import PHONE, sign_in
from tests.studio.opened import opened

CPU_SLOWER = 4
NETWORK = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}


class Hand:
    """One hand at one phone; it counts what it touches."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = self.fields = 0
        self.seconds = 0.0

    def waits(self, touch: Callable[[], object]) -> None:
        began = time.monotonic()
        with self.page.expect_navigation(wait_until="load"):
            touch()
        self.seconds += time.monotonic() - began

    def tap(self, role: str, name: str, *, exact: bool = False) -> None:
        found = self.page.locator("main, .foot, .head").get_by_role(role, name=name, exact=exact)
        self.waits(next(each for each in found.all() if each.is_visible()).click)
        self.taps += 1

    def tick(self, name: str) -> None:
        self.page.locator(f"main [name={name}]:visible").first.check()
        self.taps += 1

    def type(self, name: str, text: str) -> None:
        self.page.locator(f"main [name={name}]").first.fill(text)
        self.fields += 1


class Act(NamedTuple):
    name: str
    aim: str
    begins: str
    do: Callable[[Hand], None]


def top_up(hand: Hand) -> None:
    hand.tap("link", "Add 1.18")
    hand.tap("button", "Write the top-up")


def use_50_ml(hand: Hand) -> None:
    hand.tap("link", "Use", exact=True)
    hand.tap("link", "C25 Denatured alcohol")
    hand.type("amount_0", "50")
    hand.tap("button", "Write down the use")


def start_a_bite(hand: Hand) -> None:
    hand.tap("link", "Start a bite")
    hand.tap("link", "Rain butt")
    hand.tick("checked")
    hand.tap("button", "Current on in Small tank")


def stop_the_bite(hand: Hand) -> None:
    hand.tap("button", "Current off")


def splash_in_the_eye(hand: Hand) -> None:
    assert hand.page.get_by_text("running water", exact=False).first.is_visible()


def into_the_drum(hand: Hand) -> None:
    """By its code; what went in is a figure, so it is typed."""
    hand.type("amount_0", "0.5")
    hand.tap("button", "It is in")


def read_the_level(hand: Hand) -> None:
    hand.tap("link", "Read", exact=True)
    hand.tap("link", "Small tank")
    hand.type("level_0", "3")
    hand.tap("button", "Write the level")


def report_a_spill(hand: Hand) -> None:
    hand.tap("link", "Spill")
    hand.type("what_happened", "A jug tipped over.")
    hand.tap("button", "Report it")


def look_over_a_drum(hand: Hand) -> None:
    hand.tick("found")
    hand.tap("button", "Write what was seen")


def count_a_jar(hand: Hand) -> None:
    hand.type("amount_0", "500")
    hand.tap("button", "Write down the count")


ACTS = [
    Act("top up what is low", "2 taps", "/", top_up),
    Act("use 50 mL", "3 taps", "/", use_50_ml),
    Act("start a bite", "with the stop 4 taps and the tick", "/", start_a_bite),
    Act("stop the bite", "", "", stop_the_bite),
    Act("splash in the eye, by the code on the tank", "0 taps", "/safety/open/baths/2/", splash_in_the_eye),
    Act("half a litre into a drum, by its code", "1 tap", "/waste/9/deposit/", into_the_drum),
    Act("read a level", "", "/", read_the_level),
    Act("report a spill", "", "/", report_a_spill),
    Act("look a drum over", "", "/waste/5/look-over/", look_over_a_drum),
    Act("count a jar", "", "/shelf/c/C25/count/", count_a_jar),
]


def slow_phone(browser: Browser, address: str) -> Page:
    page = browser.new_context(viewport=PHONE, base_url=address, is_mobile=True, has_touch=True).new_page()
    sign_in(page, "nell")
    slowed_down(page)
    return page


def slowed_down(page: Page) -> CDPSession:
    """Its processor and its network from here on."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": CPU_SLOWER})
    devtools.send("Network.enable")
    devtools.send("Network.emulateNetworkConditions", NETWORK)
    return devtools


def done(page: Page, act: Act) -> Hand:
    hand = Hand(page)
    if act.begins:
        hand.waits(lambda: page.goto(act.begins))
    act.do(hand)
    refused = page.get_by_text("Nothing was written yet")
    assert refused.count() == 0, f"{act.name}: {page.locator('.message, .errorlist').all_inner_texts()}"
    return hand


def main() -> None:
    with tempfile.TemporaryDirectory() as data, opened(Path(data)) as book, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = slow_phone(browser, book.address)
        print("| act | aim | taps | fields | seconds |\n|---|---|---|---|---|")
        for act in ACTS:
            hand = done(page, act)
            print(f"| {act.name} | {act.aim} | {hand.taps} | {hand.fields} | {hand.seconds:.1f} |", flush=True)
        browser.close()


if __name__ == "__main__":
    main()
