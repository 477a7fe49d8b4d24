import pytest

from inventory import book
from inventory.models import Entry
from tests.factories import entry, signed

pytestmark = pytest.mark.django_db


def test_an_unwritten_book_has_a_mark():
    assert Entry.objects.revision() == Entry.objects.revision()


def test_every_entry_moves_the_mark():
    before = Entry.objects.revision()

    entry()

    assert Entry.objects.revision() != before


def test_every_strike_moves_the_mark():
    first, second = entry(0), entry(1)
    before = Entry.objects.revision()

    book.strike(first, by=signed(2), reason="twice")
    between = Entry.objects.revision()
    book.strike(second, by=signed(3), reason="twice")

    assert len({before, between, Entry.objects.revision()}) == 3


def test_an_entry_that_ends_after_a_later_one_moves_the_mark():
    slow, quick = entry(0), entry(1)
    with_both = Entry.objects.revision()

    type(slow)._base_manager.filter(pk=slow.pk)._raw_delete("default")  # as others see it before it ends

    assert Entry.objects.revision() != with_both
    assert Entry.objects.revision()[0] == quick.pk
