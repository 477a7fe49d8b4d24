import pytest

from inventory import book
from studio.book.mark import mark
from tests.factories import entry, signed

pytestmark = pytest.mark.django_db


def test_an_unwritten_book_has_a_mark():
    assert mark() == mark()


def test_every_entry_moves_the_mark():
    before = mark()

    entry()

    assert mark() != before


def test_every_strike_moves_the_mark():
    first, second = entry(0), entry(1)
    before = mark()

    book.strike(first, by=signed(2), reason="twice")
    between = mark()
    book.strike(second, by=signed(3), reason="twice")

    assert len({before, between, mark()}) == 3


def test_an_entry_that_ends_after_a_later_one_moves_the_mark():
    slow, quick = entry(0), entry(1)
    with_both = mark()

    type(slow)._base_manager.filter(pk=slow.pk)._raw_delete("default")  # as others see it before it ends

    assert mark() != with_both
    assert mark()[0] == quick.pk
