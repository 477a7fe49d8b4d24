"""What every page and paper of the demo keeps to, wherever links lead: run it with `-m browser`."""

import re

import pypdfium2
import pytest

from tests.studio.browser import DESK, PHONE, missed_by_fingers, sign_in, unfold
from tests.studio.walking import walk

SLOWEST_PAPER_MS = 180_000
TALLEST_PX, LEAST_TARGET_PX, MOST_WORDS, MOST_UNSOUGHT = 3_000, 44, 14, 10
# where somebody stands with wet gloves
AT_THE_BENCH = re.compile(
    r"/$|/(?:needs|baths|bites|plates|cathodes|closing|first-aid|safety/open)/|/shelf/(?:use|receive|c|counts|stickers)/"
    r"|/waste/(?:\d+|bath|cathode|jar|start|incidents/report)/|/orders/(?:low|lines)/"
)
# rules are quoted, and what a supplier, a member or a list writes is as long as it is
QUOTED = ".also, .rules, .book, .hand, table, select, .note, .choosing, .choices, datalist"
LAW = re.compile(
    r"\b(?:CFR|DSEAR|COSHH|CLP|REACH|OSHA|HazCom|WM3|RCRA|ANSI|Directive|S\.?I\. \d{4}|[Rr]egulations? \(?[\dE]|Reg\. "
    r"|Act (?:19|20)\d\d|\d+/\d+/E[CU]|\(E[CU]\) \d+|(?:gb|eu|us|local|everywhere)\.[a-z0-9_]+|[A-Z]{3,}_[A-Z]+)"
)
FETCHES, FETCHER = re.compile(rb" hx-(?:get|post)="), b"django_htmx/htmx"
FORBIDDEN = "forbidden"
# what these are about is where a rule or a sentence comes from; the list is printed for the fire officer
ABOUT_SOURCES = re.compile(r"/safety/(?:evidence|folder|chemicals/paper)|/waste/(?:rules|advice)")
SENTENCE_ENDS = re.compile(r"(?<=[.!?:;…])\s+|\n| · ")
WORD = re.compile(r"[^\W\d_]{2,}(?:['’-][^\W\d_]+)*")
OF_ITSELF = """(quoted) => { const shown = document.querySelector('main').cloneNode(true)
  document.querySelector('main').parentNode.append(shown)
  shown.querySelectorAll(quoted).forEach((each) => each.remove())
  const text = shown.innerText
  shown.remove()
  return text }"""

# links in a sentence apart, what stands behind "Also" and "More" is as large as what stands before it
LOW = """(least) => { document.querySelectorAll('details').forEach((fold) => { fold.open = true })
  return [...document.querySelectorAll('.also a, .also button, .buttons a, .buttons button, summary, .head a, .foot a')]
  .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < least - 0.1)
  .map((each) => each.textContent.trim()) }"""
FILLED = """[...document.querySelectorAll('main .button.first:not(.unseen)')].filter((each) => each.checkVisibility())
  .map((each) => each.textContent.trim())"""
# what is chosen from; a log is read on by its days, and what a form asks is answered in it
LONG = """(most) => document.querySelector('main input[type=search]') ? []
  : [...document.querySelectorAll('main ul, main .jars tbody')].filter((list) => !list.closest('form'))
    .map((list) => [...list.children].filter((each) => each.checkVisibility() && each.querySelector('a, button')))
    .map((shown) => shown.length)
    .filter((number) => number > most)"""
HATCHED_FOR_NOTHING = """[...document.querySelectorAll('main .status')].filter((each) =>
  getComputedStyle(each, '::before').content !== 'none'
  && (!['fine', 'look', 'act'].some((level) => each.classList.contains(level))
    || ['Danger', 'Warning'].includes(each.textContent.trim()))).map((each) => each.textContent.trim())"""

pytestmark = pytest.mark.browser


def signed_in(chromium, demo, who):
    page = chromium.new_context(viewport=PHONE, base_url=demo).new_page()
    sign_in(page, who)
    return page


def fetch(page):
    def fetched(path):
        answer = page.request.get(path, timeout=SLOWEST_PAPER_MS)
        assert answer.status in (200, 403), path
        return answer.headers.get("content-type", "") if answer.ok else FORBIDDEN, answer.body()

    return fetched


@pytest.fixture(scope="module")
def keyholder(chromium, demo):
    page = signed_in(chromium, demo, "maren")
    page.walked = [found.path for found in walk(fetch(page)) if found.is_page]
    yield page
    page.context.close()


@pytest.fixture(scope="module")
def member(chromium, demo):
    page = signed_in(chromium, demo, "nell")
    page.walked = list(walk(fetch(page)))
    yield page
    page.context.close()


def test_no_page_is_longer_than_four_screens_or_wider_than_one(keyholder):
    keyholder.set_viewport_size(PHONE)
    too_long = {}
    for path in keyholder.walked:
        keyholder.goto(path)
        tall, wide = (keyholder.evaluate(f"document.documentElement.scroll{side}") for side in ("Height", "Width"))
        if tall > TALLEST_PX or wide > PHONE["width"]:
            too_long[path] = (tall, wide)

    assert len(keyholder.walked) > 120 and too_long == {}


def test_a_page_has_one_filled_button_at_most_and_a_search_before_a_long_list(keyholder):
    keyholder.set_viewport_size(PHONE)
    filled, long = {}, {}
    for path in keyholder.walked:
        keyholder.goto(path)
        if len(buttons := keyholder.evaluate(FILLED)) > 1:
            filled[path] = buttons
        if lists := keyholder.evaluate(LONG, MOST_UNSOUGHT):
            long[path] = lists

    assert filled == {} and long == {}


def test_everything_can_be_touched_as_the_phone_shows_it(keyholder):
    keyholder.set_viewport_size(PHONE)
    missed = {}
    for path in keyholder.walked:
        keyholder.goto(path)
        low = keyholder.evaluate(LOW, LEAST_TARGET_PX)
        if found := low + missed_by_fingers(keyholder):
            missed[path] = found

    assert missed == {}


def test_letters_twice_as_large_burst_no_page_on_a_desk(keyholder):
    keyholder.set_viewport_size(DESK)
    burst = {}
    for path in keyholder.walked:
        keyholder.goto(path)
        keyholder.evaluate("document.documentElement.style.fontSize = '200%'")
        if (wide := keyholder.evaluate("document.documentElement.scrollWidth")) > DESK["width"]:
            burst[path] = wide

    assert burst == {}


def test_what_asks_for_nothing_is_not_hatched(keyholder):
    """Crossed where the word asks to act, slanted where it asks to look; a class or a name is neither."""
    keyholder.set_viewport_size(PHONE)
    hatched = set()
    for path in keyholder.walked:
        keyholder.goto(path)
        hatched |= set(keyholder.evaluate(HATCHED_FOR_NOTHING))

    assert hatched == set()


def test_no_sentence_at_the_bench_is_longer_than_fourteen_words(member):
    long = {}
    for found in member.walked:
        if found.is_page and AT_THE_BENCH.match(found.path):
            member.goto(found.path)
            said = SENTENCE_ENDS.split(member.evaluate(OF_ITSELF, QUOTED))
            long |= {sentence: found.path for sentence in said if len(WORD.findall(sentence)) > MOST_WORDS}

    assert not long, "\n".join(f"{p} | {s}" for s, p in long.items())


def test_a_member_reads_no_name_of_a_law_a_rule_or_a_setting(member):
    named = {}
    for found in member.walked:
        if ABOUT_SOURCES.match(found.path):
            continue
        if found.is_page:
            member.goto(found.path)
            shown = member.evaluate("document.querySelector('main').innerText")
        elif found.is_paper:
            shown = "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(found.content))
        else:
            continue
        if laws := set(LAW.findall(shown)):
            named[found.path] = laws

    assert sum(found.is_paper for found in member.walked) > 15 and named == {}


def test_rules_are_told_apart_by_what_they_say_even_unfolded(member):
    named = {}
    for path in ("/waste/5/", "/waste/9/", "/waste/rules/"):
        member.goto(path)
        unfold(member)
        shown = member.evaluate("document.querySelector('main').innerText")
        if ids := set(re.findall(r"\b(?:gb|eu|us|local|everywhere)\.[a-z][a-z0-9_]+", shown)):
            named[path] = ids

    assert named == {}


def test_a_page_loads_what_fetches_its_parts_where_it_has_such_and_nowhere_else(member):
    wrong, fetching = [], 0
    for found in member.walked:
        if found.is_page:
            fetching += FETCHER in found.content
            if bool(FETCHES.search(found.content)) != (FETCHER in found.content):
                wrong.append(found.path)

    assert fetching > 5 and wrong == []


def test_a_member_is_offered_nothing_that_is_then_refused(member):
    forbidden = {found.path for found in member.walked if found.kind == FORBIDDEN}

    # the banner of the demo, which an own book does not have
    assert not forbidden - {"/studio/begin-own/"}, forbidden
