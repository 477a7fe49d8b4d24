"""What every page and paper of the demo keeps to, wherever links lead: run it with `-m browser`."""

import re
from html import unescape
from itertools import cycle
from typing import NamedTuple

import pypdfium2
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.invented_language import marked
from tests.studio.browser import DESK, PHONE, sign_in, unfold
from tests.studio.walking import walk
from tests.test_plurals import COUNTED

SLOWEST_PAPER_MS = 180_000
TALLEST_PX, LEAST_TARGET_PX, SMALLEST_PX = 3_000, 44, 24
MOST_WORDS, MOST_UNSOUGHT, MOST_IN_THE_HEAD = 14, 10, 2
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
FORBIDDEN, TAG = "forbidden", re.compile(r"<(script|style)\b.*?</\1>|<[^>]+>", re.DOTALL)
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
LOW = f"""[...document.querySelectorAll(':is(.also, .buttons) :is(a, button), summary, :is(.head, .foot) a')]
  .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < {LEAST_TARGET_PX} - 0.1)
  .map((each) => each.textContent.trim())"""
# WCAG 2.2, 2.5.8: what is smaller keeps a circle of its own; a link in a sentence is as high as its line
SMALL = f"""(() => {{
  const inSentence = (each) => getComputedStyle(each).display === 'inline'
    && each.parentElement.textContent.trim().length > each.textContent.trim().length
  const unseen = (each) => each && (each.clientWidth === 1 || each.matches('.unseen') || unseen(each.parentElement))
  const targets = [...document.querySelectorAll('a[href], button, input, select, textarea, summary')]
    .filter((each) => each.type !== 'hidden' && each.checkVisibility())
    .filter((each) => !each.closest('.foot, .skip') && !unseen(each))
    .map((each) => getComputedStyle(each, '::after').position === 'absolute' ? each.closest('tr')
      : each.closest('label') ?? each)
  const boxes = [...new Set(targets)].map((each) => [each, each.getBoundingClientRect()])
  const small = boxes.filter(([each, box]) => !inSentence(each)
    && Math.min(box.width, box.height) < {SMALLEST_PX} - 0.1)
  const away = (from, at, to) => Math.max(from - at, 0, at - to)
  const near = (box, x, y) => Math.hypot(away(box.left, x, box.right), away(box.top, y, box.bottom))
  return small.filter(([each, {{ x, y, width, height }}]) => boxes.some(([other, box]) => other !== each
    && !other.contains(each) && !each.contains(other) && near(box, x + width / 2, y + height / 2) < {SMALLEST_PX} / 2))
    .map(([each]) => each.textContent.trim() || each.name)
}})()"""
FILLED = """[...document.querySelectorAll('main .button.first:not(.unseen)')].filter((each) => each.checkVisibility())
  .filter((each) => getComputedStyle(each).color !== getComputedStyle(document.body).color)
  .map((each) => each.textContent.trim())"""
# what is chosen from; a log is read on by its days
LONG = f"""document.querySelector('main .filters input[type=search]') ? []
  : [...document.querySelectorAll('main ul, main .jars tbody')].filter((list) => !list.closest('form'))
    .map((list) => [...list.children].filter((each) => each.checkVisibility() && each.querySelector('a, button')))
    .map((shown) => shown.length)
    .filter((number) => number > {MOST_UNSOUGHT})"""
# of the choices of a form, those apart that stand in an order which everybody knows
MANY = f"""[...document.querySelectorAll('main select:not([data-in-order]), main .choices .control')]
  .filter((each) => !each.closest('.amount') && !each.closest('.control').querySelector('input[type=search]'))
  .filter((each) => (each.options ?? each.querySelectorAll('[type=checkbox]')).length > {MOST_UNSOUGHT})
  .map((each) => each.name ?? each.textContent)"""
HATCHED_FOR_NOTHING = """[...document.querySelectorAll('main .status')].filter((each) =>
  getComputedStyle(each, '::before').content !== 'none'
  && (!['fine', 'look', 'act'].some((level) => each.classList.contains(level))
    || ['Danger', 'Warning'].includes(each.textContent.trim()))).map((each) => each.textContent.trim())"""
# the verbs of a page: more than two stand in a row with a drawing each
VERBS = """[...document.querySelectorAll('main .acts .button')].map((each) =>
  [each.textContent.trim(), each.querySelector('svg.icon')?.innerHTML ?? '', each.matches('.first')])"""
IN_THE_HEAD = """[...document.querySelectorAll('main .pagehead .buttons > .button')]
  .map((each) => each.textContent.trim())"""
UNFOLD = "document.querySelectorAll('details').forEach((fold) => { fold.open = true })"

pytestmark = pytest.mark.browser


TITLE = re.compile(r"<title>([^<]*)</title>")
# the bench begins with the five acts of a day; behind the verbs of what a code opens stands the way to its page
IN_FRONT, ONE_MORE = 3, re.compile(r"/$|/safety/open/c/")


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


class Looked(NamedTuple):
    """What a page measures on a phone, unfolded from `low` on, and at a desk with letters twice as large."""

    tall: int
    wide: int
    filled: list[str]
    long: list[int]
    many: list[str]
    hatched: list[str]
    verbs: list[tuple[str, str, bool]]
    in_the_head: list[str]
    low: list[str]
    small: list[str]
    doubled: int


@pytest.fixture(scope="module")
def looked(keyholder):
    """Each page is opened once for all that is asked of it."""
    on_a_phone = ["document.documentElement.scrollHeight", "document.documentElement.scrollWidth"]
    on_a_phone += [FILLED, LONG, MANY, HATCHED_FOR_NOTHING, VERBS, IN_THE_HEAD, f"({UNFOLD}, {LOW})", SMALL]
    of = {}
    for path in keyholder.walked:
        keyholder.set_viewport_size(PHONE)
        keyholder.goto(path)
        found = keyholder.evaluate(f"[{', '.join(on_a_phone)}]")
        keyholder.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = false })")
        keyholder.set_viewport_size(DESK)
        keyholder.evaluate("document.documentElement.style.fontSize = '200%'")
        of[path] = Looked(*found, keyholder.evaluate("document.documentElement.scrollWidth"))
    assert len(of) > 120
    return of


@pytest.fixture(scope="module")
def member(chromium, demo):
    page = signed_in(chromium, demo, "nell")
    page.walked = list(walk(fetch(page)))
    yield page
    page.context.close()


def test_no_page_is_longer_than_four_screens_or_wider_than_one(looked):
    sizes = {path: (page.tall, page.wide) for path, page in looked.items()}

    assert {path: s for path, s in sizes.items() if s[0] > TALLEST_PX or s[1] > PHONE["width"]} == {}


def test_every_page_can_be_read_in_the_dark(keyholder):
    """WCAG 2.2, 1.4.3; the widths take turns, for pages of a kind stand together and have the same colours."""
    pale = {}
    keyholder.emulate_media(color_scheme="dark")
    for path, width in zip(keyholder.walked, cycle((PHONE["width"], 768, DESK["width"])), strict=False):
        keyholder.set_viewport_size({"width": width, "height": 900})
        keyholder.goto(path)
        keyholder.evaluate(UNFOLD)
        found = Axe().run(keyholder, options={"runOnly": {"type": "rule", "values": ["color-contrast"]}})
        if found.violations_count:
            pale[path] = found.generate_report()
    keyholder.emulate_media(color_scheme=None)

    assert pale == {}


def test_a_page_has_one_filled_button_at_most(looked):
    assert {path: page.filled for path, page in looked.items() if len(page.filled) > 1} == {}


def test_what_is_chosen_from_many_is_looked_for(looked):
    """In a list by the search before it, in a form by one beside its choices."""
    assert {path: page.long + page.many for path, page in looked.items() if page.long or page.many} == {}


def test_every_verb_of_a_page_has_a_drawing_and_none_has_that_of_another(looked):
    wrong = {}
    for path, page in looked.items():
        drawn = [drawing for _, drawing, _ in page.verbs]
        if not all(drawn) or len(set(drawn)) < len(drawn) or len(page.in_the_head) > MOST_IN_THE_HEAD:
            wrong[path] = [words for words, drawing, _ in page.verbs if drawn.count(drawing) > 1] or page.in_the_head

    assert sum(bool(page.verbs) for page in looked.values()) > 10 and wrong == {}


def test_three_verbs_stand_in_front_beside_the_one_that_is_filled(looked):
    in_front = {path: [words for words, _, is_filled in page.verbs if not is_filled] for path, page in looked.items()}

    most = {path: IN_FRONT + bool(ONE_MORE.match(path)) for path in in_front}
    assert {path: words for path, words in in_front.items() if len(words) > most[path]} == {}


def test_everything_can_be_touched_as_the_phone_shows_it(looked):
    assert {path: page.low + page.small for path, page in looked.items() if page.low or page.small} == {}


def test_letters_twice_as_large_burst_no_page_on_a_desk(looked):
    assert {path: page.doubled for path, page in looked.items() if page.doubled > DESK["width"]} == {}


def test_what_asks_for_nothing_is_not_hatched(looked):
    """Crossed where the word asks to act, slanted where it asks to look; a class or a name is neither."""
    assert {words for page in looked.values() for words in page.hatched} == set()


def test_an_empty_studio_is_led_on_by_one_filled_button_on_short_pages(empty_studio):
    wrong, pages = {}, 0
    for found in walk(fetch(empty_studio)):
        if found.is_page:
            pages += 1
            empty_studio.goto(found.path)
            tall, filled = empty_studio.evaluate(f"[document.documentElement.scrollHeight, {FILLED}]")
            if tall > TALLEST_PX or len(filled) > 1:
                wrong[found.path] = (tall, filled)

    assert pages > 60 and wrong == {}


def test_a_title_is_words(member):
    titles = {found.path: TITLE.search(found.content.decode()) for found in member.walked if found.is_page}

    assert {path for path, title in titles.items() if not title or "&lt;" in title[1] or not title[1].strip()} == set()


def text_of(found):
    """All that a page or a paper says, folded or not."""
    if found.is_page:
        return unescape(TAG.sub(" ", found.content.decode()))
    return "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(found.content))


def test_one_thing_is_told_as_one(member):
    several = {
        each["things"] for forms, _ in marked() if isinstance(forms, tuple) for each in COUNTED.finditer(forms[1])
    }
    too_many = re.compile(rf"(?<![\w.,/×–-])1\s(?:{'|'.join(several)})\b")
    told = {found.path: too_many.findall(text_of(found)) for found in member.walked if found.is_page or found.is_paper}

    assert len(several) > 30 and {path: words for path, words in told.items() if words} == {}


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
            shown = text_of(found)
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
