import pytest
from django.http import QueryDict

from inventory.models import Entry
from studio.book import paging
from studio.book.paging import BookKey
from tests.factories import day, entry

pytestmark = pytest.mark.django_db


def page(address="", size=3):
    return paging.page(Entry.objects.all(), QueryDict(address.removeprefix("?")), size=size)


def subjects(page):
    return [row.kind for row in page.rows]


@pytest.fixture
def week():
    """Seven entries, the third and fourth of the same moment."""
    return [entry(at, kind=f"no. {number}") for number, at in enumerate([0, 1, 2, 2, 4, 5, 6])]


def test_the_first_page_is_the_newest(week):
    first = page()

    assert subjects(first) == ["no. 6", "no. 5", "no. 4"]
    assert not first.newer
    assert first.older


def test_a_page_begins_where_the_last_one_ended_even_within_a_moment(week):
    first = page(size=4)
    second = page(first.older, size=4)

    assert subjects(first) + subjects(second) == [f"no. {number}" for number in (6, 5, 4, 3, 2, 1, 0)]
    assert not second.older


def test_the_way_back_leads_to_the_page_one_came_from(week):
    first = page()
    second = page(first.older)
    third = page(second.older)

    back = page(third.newer)

    assert subjects(back) == subjects(second)
    assert subjects(page(back.newer)) == subjects(first)


def test_an_entry_written_meanwhile_shifts_no_page(week):
    first = page()
    entry(7, kind="no. 7")

    assert subjects(page(first.older)) == ["no. 3", "no. 2", "no. 1"]


def test_the_neighbouring_page_keeps_the_filter(week):
    assert page("kind=note&before=nonsense").older.startswith("?kind=note&before=")


def test_an_empty_book_has_one_empty_page():
    assert page() == paging.Page([])


@pytest.mark.parametrize("nonsense", ["", "x", "1-", "-1", "9" * 40 + "-1", "1_000-2-3"])
def test_a_key_that_is_none_leads_to_the_first_page(week, nonsense):
    assert subjects(page(f"before={nonsense}")) == subjects(page())


def test_a_key_is_read_as_it_was_written():
    key = BookKey(day(1.23456789), 17)

    assert BookKey.read(str(key)) == key


def test_the_whole_book_is_read_in_order(week, monkeypatch):
    monkeypatch.setattr(paging, "AT_ONCE", 2)

    assert list(paging.every(Entry.objects.all())) == week


# words, for which no index exists


@pytest.fixture
def three_lines(monkeypatch):
    """So many lines are looked through at a time."""
    monkeypatch.setattr(paging, "LOOKED_THROUGH", 3)


def sought(kind, address="", size=3):
    asked = QueryDict(address.removeprefix("?"))
    return paging.page(Entry.objects.filter(kind=kind), asked, size=size, among=Entry.objects.all())


def test_a_word_is_looked_for_in_so_many_lines_at_a_time(week, three_lines):
    pages, address = [], ""
    while not pages or address:
        pages.append(sought("no. 1", address))
        address = pages[-1].older

    assert [subjects(each) for each in pages] == [[], ["no. 1"], []]
    assert pages[0].looked_to == week[4].happened_at


def test_what_is_found_where_it_was_looked_is_shown_with_the_way_on(week, three_lines):
    first = sought("no. 5")

    assert subjects(first) == ["no. 5"]
    assert first.looked_to == week[4].happened_at
    assert subjects(sought("no. 5", first.older)) == []


def test_the_way_back_looks_through_as_many_lines(week, three_lines):
    back = sought("no. 5", f"?after={BookKey.of(week[0])}")

    assert subjects(back) == []
    assert subjects(sought("no. 5", back.newer)) == ["no. 5"]


def test_a_short_book_is_looked_through_at_once(week):
    first = sought("no. 1")

    assert (subjects(first), first.looked_to, first.older) == (["no. 1"], None, "")


def test_more_than_a_page_of_what_is_sought_is_turned_as_ever(week, three_lines):
    everything = paging.page(Entry.objects.all(), QueryDict(""), size=2, among=Entry.objects.all())

    assert subjects(everything) == ["no. 6", "no. 5"]
    assert everything.looked_to is None
