import pytest

from studio.book.kinds import kinds
from tests.factories import entry

pytestmark = pytest.mark.django_db


def test_the_kinds_of_a_book_are_found():
    entry(0, kind="used")
    entry(1, kind="used")
    entry(2, kind="bath mixed")

    assert kinds() == [("bath mixed", "Bath mixed"), ("used", "Used")]


def test_a_new_kind_is_found_at_once(django_assert_num_queries):
    entry(0, kind="used")
    kinds()
    entry(1, kind="bath mixed")

    assert ("bath mixed", "Bath mixed") in kinds()
    with django_assert_num_queries(1):
        kinds()
