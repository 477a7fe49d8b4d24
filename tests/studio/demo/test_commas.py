"""The demo where a comma is the decimal mark: no page or paper shows a number with a point in it."""

import re
from collections.abc import Iterator
from html import unescape

import pytest
from django.db import transaction

from studio.demo import load
from studio.workshop.models import Workshop
from studio.workshop.regions import USUAL
from tests.studio.demo import test_american_units
from tests.studio.demo.test_american_units import LAW, TYPED, texts_of_people, walked

pytestmark = [pytest.mark.django_db, pytest.mark.commas]

POINT = re.compile(r"(?<![\w.,§/-])\d+\.\d+(?![\w.(]|-\d)")
HIDDEN = re.compile(r"<(script|style|svg:style)\b.*?</\1>", re.DOTALL)
# a law, a standard and a table are cited as they stand, and so is every number of theirs that follows
CITED = re.compile(
    r"(?:CFR|GHS|CLP|code|App\.|[Ss]ections?|[Tt]able|compared;) (?:[A-Z]\.)?\d[\w.()]*"
    r"(?:(?:[,;]| and| or) \d[\w.()]*)*"
)
# the settings name every way in which numbers and money can be written
EVERY_WAY = re.compile(r"12(?:[, ’]345\.6|\.345,6)|\$34\.95")

PRINT_ROOM = load.print_room


def french_print_room() -> Workshop:
    workshop = PRINT_ROOM()
    workshop.region, workshop.time_zone = Workshop.Region.EU, "Europe/Paris"
    for name, usual in USUAL[Workshop.Region.EU].items():
        setattr(workshop, name, usual)
    return workshop


@pytest.fixture(scope="module")
def ohio(django_db_setup, django_db_blocker) -> Iterator[None]:
    """Lyon, in truth: the keyholder of the American pages reads this demo."""
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock(), transaction.atomic():
        patch.setattr(load, "print_room", french_print_room)
        load.load()
        yield
        transaction.set_rollback(True)


keyholder = test_american_units.keyholder


def shown(html: str) -> str:
    html = HIDDEN.sub(" ", LAW.sub(" ", html))
    text = unescape(re.sub(r"<[^>]+>", " | ", html) + " | " + " | ".join(TYPED.findall(html)))
    return EVERY_WAY.sub("", CITED.sub("", " ".join(text.split())))


def test_a_studio_that_writes_commas_reads_no_point(keyholder):
    typed = texts_of_people(POINT)

    read = {path: typed.sub("", shown(html)) for path, html in walked(keyholder)}

    assert len(read) > 150
    found = {
        path: [text[max(0, each.start() - 50) : each.end() + 15] for each in POINT.finditer(text)]
        for path, text in read.items()
    }
    assert {path: words for path, words in found.items() if words} == {}
