"""The demo as a studio in the United States keeps it: no page or paper shows a litre, a gram or the day first."""

import re
from collections import Counter
from collections.abc import Iterator
from html import unescape

import pytest
from django.apps import apps
from django.db import models, transaction
from django.test import Client
from django.urls import Resolver404, resolve

from chemistry import evidence
from inventory.models import Entry, Person
from studio.demo import load
from studio.printing import press
from studio.workshop.models import Workshop
from studio.workshop.regions import USUAL
from tests.studio.conftest import sign_in

pytestmark = [pytest.mark.django_db, pytest.mark.american]

MOST_OF_A_KIND = 1  # pages of one view
AS_KEPT_THERE = {"g": "oz", "kg": "lb", "mL": "fl oz", "L": "gal", "cm2": "in2", "m2": "ft2", "mm": "in", "cm": "in"}
AS_KEPT_THERE |= {"m": "ft"}
# the law of every region, word for word; what of it holds here is read where waste stands
LAW = re.compile(r"<ul class=\"rules\">.*?</ul>", re.DOTALL)
HIDDEN = re.compile(
    r"<(script|style|select|svg:style)\b.*?</\1>"
    # formulas are worked out in the units of the sums; what goes into them stands in the studio's own beside those
    r"|<details class=\"working\".*?</details>",
    re.DOTALL,
)
WORKING = re.compile(r"<details class=\"working\".*?</details>", re.DOTALL)
GOES_IN = re.compile(r"<dd>[−\d][\d.,\s±]*([^<]*)</dd>")
TYPED = re.compile(r"<(?:input|textarea)\b[^>]*\bvalue=\"([^\"]*)\"[^>]*>")
MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
MONTHS += "|Jan|Feb|Mar|Apr|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
METRIC = re.compile(
    r"(?<![\w/])(?:mL|cL|L|g|kg|cm|mm|µm|cm²|m²|mm²|cm2|°C|g/L|g/mL|mg)(?![\w/²'’])"
    r"|\b(?:milli|centi|kilo|micro)?(?:litres?|grams?|metres?)\b"
    rf"|\b\d{{1,2}} (?:{MONTHS})\b|\b(?:[01]\d|2[0-3]):\d\d\b(?! [AP]M)"
)
# what the law says in its own figures, with the day of its edition, and what a supplier's sheet says
DELIBERATE = re.compile(
    r"(?:above|below|at most|at least|[Mm]ore than|no more than) \d[\d.,\u202f]* (?:kg|°C)"
    r"|lb \([\d.,]+ kg\)|a quart or 1 kg|at \d+ °C above [\d.]+ mm a year"
    rf"|of \d{{1,2}} (?:{MONTHS})(?: \d{{4}})?(?: and \d{{1,2}} (?:{MONTHS}))? ?\d{{0,4}}"
    r"|density g per ml|gallons \(\d+ L\)|kg \([\d,]+ lb\)|°C \(\d+ °F\)|mm \([\d.]+ in\)|\(about [\d.]+ g/L"
    rf"|[,(] \d{{1,2}} (?:{MONTHS}) \d{{4}}|Annex III, \d{{1,2}} \w+ \d{{4}}"
    r"|(?<=\d)(?:\([a-z\d]+\))+|\(L \d+(?=[,)])"  # paragraphs and journals that are cited
    r"|lb\) or|(?:less than|up to) [\d,]+ kg\b|[\d,]+ kg or more|at 55 °C|liquids to 93 °C"
)


def american_print_room() -> Workshop:
    workshop = PRINT_ROOM()
    workshop.region, workshop.us_state, workshop.time_zone = Workshop.Region.US, "MO", "America/Chicago"
    for name, usual in USUAL[Workshop.Region.US].items():
        setattr(workshop, name, usual)
    return workshop


def american_lines() -> list[load.Line]:
    return [
        line | {"shown_unit": AS_KEPT_THERE.get(line["shown_unit"], line["shown_unit"])}
        if line.get("shown_unit")
        else line
        for line in LINES()
    ]


# an edition is called what its publisher calls it, as a title is
DATED_EDITIONS = {each.edition for each in evidence.DOCUMENTS.values() if METRIC.search(each.edition)}
EDITIONS = re.compile("|".join(map(re.escape, sorted(DATED_EDITIONS, key=len, reverse=True))))
PRINT_ROOM, LINES = load.print_room, load.lines


@pytest.fixture(scope="module")
def ohio(django_db_setup, django_db_blocker) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock(), transaction.atomic():
        patch.setattr(load, "print_room", american_print_room)
        patch.setattr(load, "lines", american_lines)
        load.load()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def keyholder(ohio, monkeypatch):
    """A browser that gets the HTML of each paper instead of its PDF."""
    monkeypatch.setattr(press, "print_alone", lambda html, **how: html.encode())
    browser = Client()
    sign_in(browser, Person.objects.get(account__username="maren"))
    return browser


def walked(browser) -> Iterator[tuple[str, str]]:
    """Every page and paper that links lead to, one of each view; the addresses and what stands there."""
    seen, kinds, waiting = set(), Counter(), ["/"]
    while waiting:
        path = waiting.pop(0)
        bare = path.partition("?")[0]
        try:
            name = resolve(bare).view_name
        except Resolver404:
            continue
        if path in seen or kinds[name] >= MOST_OF_A_KIND or name in ("people:sign_out",):
            continue
        seen.add(path)
        kinds[name] += 1
        response = browser.get(path)
        kind = response.headers.get("Content-Type", "")
        if response.status_code != 200 or not kind.startswith(("text/html", "application/pdf")):
            continue
        page = b"".join(response) if response.streaming else response.content
        if not page.lstrip().startswith(b"<"):
            continue
        html = page.decode()
        yield path, html
        waiting += [unescape(link) for link in re.findall(r'href="(/[^"#]*)', html)]


def shown(html: str) -> str:
    html = HIDDEN.sub(" ", LAW.sub(" ", html))
    typed = " | ".join(TYPED.findall(html))
    text = unescape(re.sub(r"<[^>]+>", " | ", html) + " | " + typed)
    return EDITIONS.sub("", DELIBERATE.sub("", " ".join(text.split())))


def in_metric_alone(html: str) -> list[str]:
    """What goes into a sum and does not stand there in the studio's own unit too."""
    told = [unescape(each) for working in WORKING.findall(html) for each in GOES_IN.findall(working)]
    return [each for each in told if METRIC.match(each) and "=" not in each]


def texts_of_people(pattern: re.Pattern[str]) -> re.Pattern[str]:
    """Names and notes in which such a thing stands, and stays as somebody wrote it."""
    found = set()
    for model in apps.get_models():
        for field in model._meta.local_concrete_fields:
            is_text = isinstance(field, models.CharField | models.TextField) and not field.choices
            if is_text and not (model is Entry and field.name in ("kind", "subject")):
                found |= {" ".join(str(text).split()) for text in model.objects.values_list(field.name, flat=True)}
    return re.compile("|".join(map(re.escape, sorted(filter(pattern.search, found), key=len, reverse=True))) or "(?!)")


def test_an_american_studio_reads_no_metric_unit(keyholder):
    typed = texts_of_people(METRIC)

    pages = dict(walked(keyholder))
    read = {path: typed.sub("", shown(html)) for path, html in pages.items()}

    assert len(read) > 150
    assert {path: told for path, html in pages.items() if (told := in_metric_alone(html))} == {}
    metric = {
        path: [text[max(0, each.start() - 40) : each.end() + 15] for each in METRIC.finditer(text)]
        for path, text in read.items()
    }
    assert {path: words for path, words in metric.items() if words} == {}
