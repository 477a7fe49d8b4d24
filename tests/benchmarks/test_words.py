"""What share of a page's time goes into saying it in the language of the studio, seen by looking where it is at."""

import signal
from collections import Counter
from collections.abc import Iterator
from time import process_time
from types import FrameType

import pytest
from django.db import transaction
from django.test import Client

from inventory.models import Person
from studio.demo import load
from tests.studio.conftest import sign_in

pytestmark = [pytest.mark.django_db, pytest.mark.benchmark_ratio]

SHARE = (0.05, 0.03)  # (floor, goal)
LOOKED_EVERY_S, SECONDS = 0.0005, 2
PAGES = ["/", "/people/", "/shelf/", "/shelf/c/C7/", "/baths/1/", "/waste/1/", "/orders/", "/baths/1/top-up/"]
SAYING = ("django/utils/translation/", "/gettext.py", "templatetags/i18n.py", "templatetags/wording.py")
SAYING += ("inventory/wording.py", "chemistry/sentences.py")
# what a sentence is filled with would be asked for as well if nobody marked it
ASKED_BY_ADDRESSES = "get_language"
FILLED_IN = ("resolve", "render", "render_annotated")


def is_saying(frame: FrameType | None) -> bool:
    """Whether the innermost of what templates do here is a sentence that is said."""
    while frame is not None:
        path, name = frame.f_code.co_filename, frame.f_code.co_name
        # addresses are looked up by language too, and would be if no word were marked
        if name == ASKED_BY_ADDRESSES:
            return False
        if any(part in path for part in SAYING) or (path.endswith("utils/functional.py") and name == "__cast"):
            return True
        if path.endswith("django/template/base.py") and name in FILLED_IN:
            return False
        frame = frame.f_back
    return False


@pytest.fixture(scope="module")
def keyholder(django_db_setup, django_db_blocker) -> Iterator[Client]:
    with django_db_blocker.unblock(), transaction.atomic():
        load.load()
        browser = Client()
        sign_in(browser, Person.objects.get(account__username="maren"))
        yield browser
        transaction.set_rollback(True)


@pytest.mark.parametrize("path", PAGES)
def test_a_page_spends_little_of_its_time_on_words(keyholder, table, path):
    looked: Counter[bool] = Counter()
    assert keyholder.get(path).status_code == keyholder.get(path).status_code == 200

    # the clock of the processor ticks 250 times a second, which looks too seldom
    before = signal.signal(signal.SIGALRM, lambda _, frame: looked.update([is_saying(frame)]))
    signal.setitimer(signal.ITIMER_REAL, LOOKED_EVERY_S, LOOKED_EVERY_S)
    began = process_time()
    while process_time() - began < SECONDS:
        keyholder.get(path)
    signal.setitimer(signal.ITIMER_REAL, 0)
    signal.signal(signal.SIGALRM, before)

    table.most(f"words, share of {path}", looked[True] / looked.total(), *SHARE)
