"""Reminders in somebody's calendar: on the day, by the studio's clock, at an address that can be shut."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from inventory.models import Container
from studio.people import inductions
from studio.people import operations as people
from studio.waste import operations, reminders
from studio.waste.models import CalendarAddress, LocalAdvice
from tests.factories import PersonFactory, day, signed, stocked
from tests.studio.waste.shop import drum, handed_over, put, said

pytestmark = pytest.mark.django_db

TODAY = 10  # of the tests' book, which begins on 2 March 2026
MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 25, 5


@pytest.fixture(autouse=True)
def now(today):
    today(TODAY)


def address_of(browser):
    browser.post(reverse("waste:make_address"), {"key": uuid4()})
    return CalendarAddress.objects.latest("pk").get_absolute_url()


def fetched(browser):
    """What a calendar gets at the address of somebody, by the name of each event."""
    response = Client().get(address_of(browser))
    return {str(event["uid"]).removesuffix("@mordant"): event for event in Calendar.from_ical(response.content).events}


def on(event) -> date:
    return event.decoded("dtstart")


# what is due


def test_a_drum_is_to_be_looked_over_a_month_after_somebody_last_did(member):
    vessel = drum()
    put(vessel, 1, at=1)
    operations.look_over(vessel, found="fine", by=signed(2))

    event = fetched(member)[f"look-over-{vessel.pk}"]

    assert on(event) == date(2026, 4, 4)
    assert str(event["summary"]) == "Look over W1"


def test_a_day_is_a_day_of_the_studios_clock(member, studio, today):
    vessel = drum()
    put(vessel, 1, at=1)
    operations.look_over(vessel, found="fine", by=signed(2.6))  # 23:24 UTC on 4 March, past midnight in Berlin

    assert on(fetched(member)[f"look-over-{vessel.pk}"]) == date(2026, 4, 5)


def test_a_clock_put_forward_moves_no_day(studio, today):
    today(40)
    vessel = drum()
    put(vessel, 1, at=1)
    operations.look_over(vessel, found="fine", by=signed(26.55))  # 28 March, 23:12: summer time begins that night

    with timezone.override(studio.time_zone):
        due = reminders.due(studio, PersonFactory(), sees_everybody=False, now=day(40))

    assert due[0].on == date(2026, 4, 28)


def test_an_empty_drum_asks_for_no_look(member):
    drum()

    assert fetched(member) == {}


@pytest.mark.parametrize(
    ("repeats", "rule"),
    [
        ("", None),
        ("weekly", "FREQ=WEEKLY"),
        ("fortnightly", "FREQ=WEEKLY;INTERVAL=2"),
        ("monthly", "FREQ=MONTHLY;BYDAY=3SA"),
        ("yearly", "FREQ=YEARLY"),
    ],
)
def test_a_collection_comes_again_as_often_as_was_said(member, repeats, rule):
    said(LocalAdvice.Kind.COLLECTION, next_on=date(2026, 3, 21), repeats=repeats)

    (event,) = fetched(member).values()

    assert on(event) == date(2026, 3, 21)
    assert (event["rrule"].to_ical().decode() if "rrule" in event else None) == rule


def test_the_page_says_how_often_in_words(member):
    said(LocalAdvice.Kind.COLLECTION, next_on=date(2026, 3, 21), repeats="fortnightly")

    assert f", {LocalAdvice.Repeats.FORTNIGHTLY.label}" in member.get(reverse("waste:calendar")).content.decode()


def test_a_collection_ends_with_what_was_said(member):
    said(LocalAdvice.Kind.COLLECTION, next_on=date(2026, 3, 21), repeats="weekly", until_on=date(2026, 12, 31))

    event = next(event for name, event in fetched(member).items() if name.endswith("-on"))

    assert event["rrule"]["UNTIL"] == [date(2026, 12, 31)]


def test_advice_that_ends_is_asked_for_again_a_month_before(member):
    said(until_on=date(2026, 5, 1))

    (event,) = fetched(member).values()

    assert on(event) == date(2026, 4, 1)


def test_a_drum_grows_too_old_on_a_day_that_the_rules_name(member, studio):
    vessel = drum()
    put(vessel, 1, at=1)

    assert on(fetched(member)[f"age-{vessel.pk}-generic.age"]) == date(2027, 3, 3)


def test_a_time_limit_that_a_rule_does_not_set_here_is_not_told(member, studio):
    """180 days hold for wipes, and for who has more than 100 kg in the month."""
    studio.region = "us"
    studio.save_base()
    rinse, wipes = drum(), drum("rags_solvent", name="R1", vessel="lidded_metal_can")
    put(rinse, 1, at=1)
    put(wipes, grams=500, at=1)
    said(LocalAdvice.Kind.NOT_HAZARDOUS, stream="rinse")
    said(LocalAdvice.Kind.NOT_HAZARDOUS, stream="rags_solvent")

    due = fetched(member)

    assert on(due[f"age-{wipes.pk}-us.age"]) == date(2026, 7, 31)
    assert f"age-{rinse.pk}-us.age" not in due


def test_a_jar_is_to_be_used_by_its_day(member):
    jar = stocked("500 g")
    Container.objects.filter(pk=jar.pk).update(use_by_on=date(2026, 4, 30))

    assert on(fetched(member)[f"use-by-{jar.pk}"]) == date(2026, 4, 30)


def test_a_member_is_told_of_an_own_induction_and_a_keyholder_of_everybodys(member, keyholder):
    other = PersonFactory()
    for person in (member.person, other):
        inductions.induct(person, tasks=["bath"], until_on=date(2026, 6, 1), by=signed(1))

    assert set(fetched(member)) == {f"induction-{member.person.pk}-bath"}
    assert len(fetched(keyholder)) == 2


def test_what_is_long_over_is_left_out(member):
    jar = stocked("500 g")
    Container.objects.filter(pk=jar.pk).update(use_by_on=date(2026, 1, 30))

    assert fetched(member) == {}


def test_what_nobody_has_done_stays_however_long_ago_it_was_due(studio):
    vessel = drum()
    put(vessel, 4)
    handed_over(vessel, at=2)
    waiting = drum(name="W2")
    put(waiting, 1, at=1)

    due = reminders.due(studio, PersonFactory(), sees_everybody=False, now=day(200))

    assert {each.name.rsplit("-", 1)[0] for each in due if each.on < day(100).date()} == {"receipt", "look-over"}


def test_what_lies_years_ahead_waits(member):
    jar = stocked("500 g")
    Container.objects.filter(pk=jar.pk).update(use_by_on=date(2029, 1, 30))

    assert fetched(member) == {}


# the feed


def test_the_feed_is_sound_by_the_standard(member):
    put(drum(), 1, at=1)
    said(LocalAdvice.Kind.COLLECTION, next_on=date(2026, 3, 21), repeats="monthly")

    response = Client().get(address_of(member))
    calendar = Calendar.from_ical(response.content)

    assert response.headers["Content-Type"] == "text/calendar; charset=utf-8"
    assert (calendar["version"], calendar["prodid"]) == ("2.0", "-//Mordant//reminders//EN")
    # RFC 5545: lines of 75 octets at most, ended by CRLF; every event has a UID and a DTSTAMP
    lines = response.content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    assert b"\n" not in b"".join(lines)
    assert all("uid" in event and "dtstamp" in event for event in calendar.events)
    assert len({str(event["uid"]) for event in calendar.events}) == len(calendar.events)
    assert all(event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1) for event in calendar.events)


def test_a_calendar_that_has_it_already_is_told_that_nothing_changed(member):
    vessel = drum()
    put(vessel, 1, at=1)
    address = address_of(member)

    first = Client().get(address)
    again = Client().get(address, headers={"if-none-match": first.headers["ETag"]})
    operations.look_over(vessel, found="fine", by=signed(5))
    changed = Client().get(address, headers={"if-none-match": first.headers["ETag"]})

    assert (again.status_code, again.content) == (304, b"")
    assert changed.status_code == 200
    assert "private" in first.headers["Cache-Control"]
    assert "max-age=3600" in first.headers["Cache-Control"]


def test_the_feed_asks_the_database_little(member, django_assert_max_num_queries):
    put(drum(), 1, at=1)
    address = address_of(member)

    with django_assert_max_num_queries(MOST_QUERIES):
        Client().get(address)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        Client().get(address)


# the address


def test_an_address_cannot_be_guessed_and_is_never_used_twice(member, keyholder):
    tokens = {address_of(browser) for browser in (member, member, keyholder)}

    assert len(tokens) == 3
    assert all(len(address.token) >= 43 for address in CalendarAddress.objects.all())  # 256 bits


def test_a_new_address_shuts_the_one_before_it(member):
    old = address_of(member)

    new = address_of(member)

    assert Client().get(old).status_code == 404
    assert Client().get(new).status_code == 200


def test_a_shut_address_is_not_found(member):
    address = address_of(member)

    member.post(reverse("waste:shut_address"), {"key": uuid4()})

    assert Client().get(address).status_code == 404
    assert address not in member.get(reverse("waste:calendar")).content.decode()


def test_an_address_that_nobody_made_is_not_found(studio):
    assert Client().get(reverse("waste:reminders", args=["x" * 43])).status_code == 404


def test_who_left_has_no_address_any_more(member, keyholder):
    address = address_of(member)

    people.leave(member.person, left_on=date(2026, 3, 10), by=signed(9))

    assert Client().get(address).status_code == 404


def test_nobody_sees_the_address_of_somebody_else(member, keyholder):
    address = address_of(member)

    assert address in member.get(reverse("waste:calendar")).content.decode()
    assert address not in keyholder.get(reverse("waste:calendar")).content.decode()


def test_the_book_does_not_give_the_address_away(member):
    address = address_of(member)
    entry = CalendarAddress.objects.get().entry

    page = member.get(entry.get_absolute_url()).content.decode()

    assert address.split("/")[-1].removesuffix(".ics") not in page


def test_an_address_only_reads(member):
    assert Client().post(address_of(member)).status_code == 405


def test_a_double_tap_makes_one_address(member):
    key = uuid4()

    for _ in range(2):
        member.post(reverse("waste:make_address"), {"key": key})

    assert CalendarAddress.objects.count() == 1


def test_a_viewer_makes_no_address(viewer):
    viewer.post(reverse("waste:make_address"), {"key": uuid4()})

    assert not CalendarAddress.objects.exists()
    assert viewer.get(reverse("waste:calendar")).status_code == 200
