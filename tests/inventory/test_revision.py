import pytest

from inventory import book
from inventory.revision import book_revision
from tests.factories import entry, signed

pytestmark = pytest.mark.django_db


def test_an_unwritten_book_has_a_mark():
    assert book_revision() == book_revision()


def test_every_entry_moves_the_mark():
    before = book_revision()

    entry()

    assert book_revision() != before


def test_every_strike_moves_the_mark():
    first, second = entry(0), entry(1)
    before = book_revision()

    book.strike(first, by=signed(2), reason="twice")
    between = book_revision()
    book.strike(second, by=signed(3), reason="twice")

    assert len({before, between, book_revision()}) == 3


def test_an_entry_that_ends_after_a_later_one_moves_the_mark():
    slow, quick = entry(0), entry(1)
    with_both = book_revision()

    type(slow)._base_manager.filter(pk=slow.pk)._raw_delete("default")  # as others see it before it ends

    assert book_revision() != with_both
    assert book_revision()[0] == quick.pk
