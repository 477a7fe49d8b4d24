"""Lines of every kind struck by two people at the same moment; run on both databases by `.ci/run`."""

from functools import partial

import pytest
from django.core.cache import cache

from inventory import book, integrity, seals
from inventory.models import Entry, EntryKind
from inventory.refusals import Refused
from studio.baths import estimate
from studio.bites import integrity as bites
from studio.demo import load
from tests.at_once import at_once
from tests.campaigns import forms
from tests.factories import PersonFactory, signed

pytestmark = pytest.mark.django_db(transaction=True)

LINES_OF_A_KIND = 2
# of the ninety declared, and those that nothing else rests on; a book is begun once, and what some forms are about an
# earlier one may have ended
OF_THE_DEMO, STRUCK_OF_THE_DEMO = 40, 20
OF_FORMS, STRUCK_OF_FORMS = 75, 60


@pytest.fixture
def lines_of_the_demo(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    load.load()
    return last_lines()


@pytest.fixture
def lines_of_every_form(settings, tmp_path):
    """Whatever can be written is written, one form after the other."""
    settings.MEDIA_ROOT = tmp_path
    addresses, keyholder = forms.addresses(), forms.keyholder()
    pages = [each for each in forms.writing_pages(keyholder, addresses) if forms.is_by_hand(each[0])]
    for browser, _name, url, number in forms.one_after_the_other(keyholder, pages):
        cache.clear()
        try:
            forms.fill_and_send(browser, url, number, forms.plain_words)
        except IndexError:
            continue  # an earlier form has ended what this page was about
    return last_lines()


def last_lines() -> list[Entry]:
    """Of each kind, the latest first."""
    by_kind = {}
    for line in Entry.objects.standing().order_by("-happened_at", "-pk"):
        by_kind.setdefault(line.kind, []).append(line)
    found = [line for lines in by_kind.values() for line in lines[:LINES_OF_A_KIND]]
    return sorted(found, key=lambda line: (line.happened_at, line.pk), reverse=True)


def strike_all(lines, by):
    """Which of them somebody struck, one after the other; what rests on others is refused."""
    struck = []
    for line in lines:
        try:
            struck.append(book.strike(line, by=by, reason="a slip"))
        except Refused:
            continue
    return struck


def test_lines_of_the_demos_kinds_are_struck_by_two_at_once_and_each_of_them_once(lines_of_the_demo):
    assert len({line.kind for line in lines_of_the_demo}) >= OF_THE_DEMO
    struck_by_two_at_once(lines_of_the_demo, kinds=STRUCK_OF_THE_DEMO)


@pytest.mark.campaign
@pytest.mark.filterwarnings("ignore")  # a document that is handed out stays open until it was sent
def test_lines_of_whatever_can_be_written_are_struck_by_two_at_once_and_each_of_them_once(lines_of_every_form):
    missing = set(EntryKind.declared) - {line.kind for line in lines_of_every_form}
    assert len(EntryKind.declared) - len(missing) >= OF_FORMS, missing
    struck_by_two_at_once(lines_of_every_form, kinds=STRUCK_OF_FORMS)


def struck_by_two_at_once(lines: list[Entry], *, kinds: int) -> None:
    people = [signed(done_by=PersonFactory()) for _ in range(2)]
    by_them = Entry.objects.filter(struck_by__in=[by.done_by for by in people])

    # now and then both are at the same line, and mostly next to each other
    crossed = [line for pair in zip(lines[1::2], lines[::2], strict=False) for line in pair]

    ends = at_once([partial(strike_all, order, by) for order, by in zip((lines, crossed), people, strict=True)])

    assert not [end for end in ends if isinstance(end, Exception)], ends
    struck = [line for end in ends for line in end]
    assert len({line.kind for line in struck}) >= kinds
    assert len({line.pk for line in struck}) == len(struck) == by_them.count()
    # one after the other, as the pages that are kept expect
    assert len(set(by_them.values_list("struck_at", flat=True))) == len(struck)
    looked = [*integrity.integrity_errors(), *bites.integrity_errors(), *seals.errors(), *estimate.unsound_baths()]
    assert not looked
