"""Lines of every kind struck by two people at the same moment; run on both databases by `.ci/run`."""

from functools import partial

import pytest

from inventory import book, integrity, seals
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import estimate
from studio.bites import integrity as bites
from studio.demo import load
from tests.at_once import at_once
from tests.factories import PersonFactory, signed

pytestmark = pytest.mark.django_db(transaction=True)

LINES_OF_A_KIND, KINDS, KINDS_STRUCK = 2, 40, 20


@pytest.fixture
def lines(settings, tmp_path):
    """The last lines of each kind in the demo's year, the latest first."""
    settings.MEDIA_ROOT = tmp_path
    load.load()
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


def test_lines_of_every_kind_are_struck_by_two_at_once_and_each_of_them_once(lines):
    assert len({line.kind for line in lines}) >= KINDS
    people = [signed(done_by=PersonFactory()) for _ in range(2)]
    by_them = Entry.objects.filter(struck_by__in=[by.done_by for by in people])

    # now and then both are at the same line, and mostly next to each other
    crossed = [line for pair in zip(lines[1::2], lines[::2], strict=False) for line in pair]

    ends = at_once([partial(strike_all, order, by) for order, by in zip((lines, crossed), people, strict=True)])

    assert not [end for end in ends if isinstance(end, Exception)], ends
    struck = [line for end in ends for line in end]
    assert len({line.kind for line in struck}) >= KINDS_STRUCK
    assert len({line.pk for line in struck}) == len(struck) == by_them.count()
    # one after the other, as the pages that are kept expect
    assert len(set(by_them.values_list("struck_at", flat=True))) == len(struck)
    looked = [*integrity.integrity_errors(), *bites.integrity_errors(), *seals.errors(), *estimate.unsound_baths()]
    assert not looked
