import csv
import io

import pytest
from django.urls import reverse

from inventory import book, ledger
from inventory.models import Entry
from studio.baths import operations as baths
from studio.book import paging
from studio.book.views import AT_ONCE
from tests.factories import PersonFactory, adopted, entry, signed, stocked

BOOK = reverse("book:book")


def page(client, address, **asked):
    return client.get(address, asked).content.decode()


def used(jar, amount, at=1.0, **signature):
    with book.entry("used", f"Used {jar.material.show(amount)} from {jar.code}", signed(at, **signature)) as entry:
        ledger.use(jar, amount, entry=entry)
    return entry


def strike_page(struck):
    return reverse("book:strike", args=[struck.pk])


def test_an_empty_book_says_what_to_do_next(member):
    assert "Put something on the shelf" in page(member, BOOK)


def test_the_book_shows_who_did_what(member):
    used(stocked("500 g"), 20_000, done_by=PersonFactory(name="Ada Brook"))

    assert "Ada Brook: Used 20 g" in page(member, BOOK)


def test_a_struck_line_stays_readable_with_its_reason(member):
    struck = used(stocked("500 g"), 20_000)
    book.strike(struck, by=signed(2), reason="wrong jar")

    shown = page(member, BOOK)

    assert "<del>" in shown
    assert "wrong jar" in shown


@pytest.mark.parametrize(
    "asked", [{"kind": "used"}, {"text": "from C"}, {"text": "USED 20 G"}, {"done_by": "Ada Brook"}]
)
def test_the_book_is_searched_by_kind_words_and_person(member, asked):
    ada = PersonFactory(name="Ada Brook")
    used(stocked("500 g"), 20_000, done_by=ada)
    entry(3, kind="swept the floor")
    if "done_by" in asked:
        asked = {"done_by": ada.pk}

    shown = page(member, BOOK, **asked)

    assert "Used 20 g" in shown
    assert "swept the floor</a>" not in shown


@pytest.mark.parametrize("asked", [{"kind": "flew"}, {"done_by": "999999"}, {"done_by": "x"}])
def test_a_filter_that_is_not_understood_shows_nothing_and_says_so(member, asked):
    entry(3, kind="swept the floor")

    shown = page(member, BOOK, **asked)

    assert "Select a valid choice" in shown
    assert "swept the floor</a>" not in shown


def test_nothing_found_offers_the_whole_book(member):
    entry(3, kind="swept the floor")

    assert "No line of the book is like that" in page(member, BOOK, text="dragon")


def test_words_are_looked_for_so_far_back_and_the_page_says_so(member, monkeypatch):
    monkeypatch.setattr(paging, "LOOKED_THROUGH", 2)
    for at in range(3):
        entry(at, kind="used")

    shown = page(member, BOOK, text="dragon")

    assert "No line is like that as far as this looked." in shown
    assert "these reach to 3 March 2026" in shown


def test_a_long_book_is_turned_page_by_page(member):
    lines = [entry(number) for number in range(AT_ONCE + 1)]

    first = member.get(BOOK)
    second = member.get(BOOK + first.context["page"].older)

    assert first.context["page"].rows == lines[:0:-1]
    assert second.context["page"].rows == lines[:1]


def test_the_book_asks_the_database_as_little_for_thirty_lines_as_for_one(member, django_assert_max_num_queries):
    for number in range(30):
        entry(number)

    with django_assert_max_num_queries(8):
        member.get(BOOK)


def csv_rows(client, **asked):
    response = client.get(reverse("book:book_csv"), asked)
    return list(csv.DictReader(io.StringIO(b"".join(response).decode("utf-8-sig"))))


def test_the_book_is_taken_away_as_a_file(member):
    struck = used(stocked("500 g"), 20_000)
    book.strike(struck, by=signed(2), reason="wrong jar")

    received, used_line = csv_rows(member)

    assert received["Kind"] == "received"
    assert used_line["Happened"] == "2026-03-03 10:00"  # nine in the morning UTC, as the clock of Berlin showed it
    assert used_line["Why struck"] == "wrong jar"


def test_the_file_holds_what_the_page_shows(member):
    used(stocked("500 g"), 20_000)

    assert [row["Kind"] for row in csv_rows(member, kind="used")] == ["used"]
    assert csv_rows(member, kind="flew") == []


def test_an_entry_says_what_it_changed(member):
    jar = stocked("500 g")
    bath = adopted()
    spilled = baths.spill(bath, litres=0.5, by=signed(1))

    assert "−20 g, used" in page(member, used(jar, 20_000).get_absolute_url())
    assert "about 0.5 L spilled" in page(member, spilled.get_absolute_url())


def test_an_entry_asks_the_database_little(member, django_assert_max_num_queries):
    address = used(stocked("500 g"), 20_000).get_absolute_url()

    with django_assert_max_num_queries(10):
        member.get(address)


def test_an_entry_that_is_not_there_is_not_found(member):
    assert member.get(reverse("book:entry", args=[999_999])).status_code == 404


def test_a_strike_says_first_what_stops_counting(keyholder):
    jar = stocked("500 g")

    shown = page(keyholder, strike_page(used(jar, 20_000)))

    assert "What stops counting" in shown
    assert "−20 g, used" in shown
    assert not Entry.objects.exclude(struck_at=None).exists()


def test_a_keyholder_strikes_anything(keyholder):
    jar = stocked("500 g")
    struck = used(jar, 20_000)

    response = keyholder.post(strike_page(struck), {"reason": "wrong jar"})

    jar.refresh_from_db()
    struck.refresh_from_db()
    assert response.headers["Location"] == struck.get_absolute_url()
    assert jar.on_hand == 500_000
    assert struck.struck_by == keyholder.person


def test_a_member_strikes_the_own_line(member):
    struck = used(stocked("500 g"), 20_000, done_by=member.person)

    member.post(strike_page(struck), {"reason": "wrong jar"})

    struck.refresh_from_db()
    assert struck.is_struck


def test_a_member_strikes_no_line_of_somebody_else(member):
    struck = used(stocked("500 g"), 20_000)

    assert member.get(strike_page(struck)).status_code == 403
    assert member.post(strike_page(struck), {"reason": "wrong jar"}).status_code == 403
    assert reverse("book:strike", args=[struck.pk]) not in page(member, struck.get_absolute_url())


def test_a_strike_without_a_reason_is_refused(keyholder):
    struck = used(stocked("500 g"), 20_000)

    response = keyholder.post(strike_page(struck), {"reason": " "})

    assert "Say why, in a few words" in response.content.decode()


def test_a_strike_that_would_leave_less_than_nothing_is_explained_beside_the_reason(keyholder):
    jar = stocked("500 g")
    received = jar.movements.get().entry
    used(jar, 450_000)

    response = keyholder.post(strike_page(received), {"reason": "never came"})

    shown = response.content.decode()
    assert "reason" in response.context["form"].errors
    assert "In the way" in shown
    assert "never came" in shown


def test_a_second_strike_leads_to_the_struck_line(keyholder):
    struck = used(stocked("500 g"), 20_000)
    keyholder.post(strike_page(struck), {"reason": "wrong jar"})

    response = keyholder.post(strike_page(struck), {"reason": "wrong jar"})

    assert response.headers["Location"] == struck.get_absolute_url()


@pytest.mark.parametrize("name", ["book", "book_csv"])
def test_strangers_read_nothing_of_the_book(stranger, name):
    assert stranger.get(reverse(f"book:{name}")).status_code == 302


@pytest.mark.parametrize("name", ["entry", "strike"])
def test_strangers_read_no_line_of_the_book(stranger, name):
    assert stranger.get(reverse(f"book:{name}", args=[entry().pk])).status_code == 302
