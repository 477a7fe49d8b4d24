import pytest

from studio.book.filters import kinds_written
from tests.factories import entry

pytestmark = pytest.mark.django_db


def test_an_unwritten_book_has_no_kinds():
    assert kinds_written() == []


def test_each_kind_of_a_book_is_found_once(django_assert_num_queries):
    for kind in ("used", "bath mixed", "used", "received"):
        entry(kind=kind)

    with django_assert_num_queries(1):
        assert kinds_written() == [("bath mixed", "Bath mixed"), ("received", "Received"), ("used", "Used")]
