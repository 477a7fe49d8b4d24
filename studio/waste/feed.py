"""Reminders as an iCalendar feed: all-day events, so that a day is that day in whatever zone a phone stands."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from icalendar import Alarm, Calendar, Event, vRecur

from studio.waste.models import LocalAdvice
from studio.waste.reminders import Reminder

Repeats = LocalAdvice.Repeats

RINGS_AFTER = timedelta(hours=9)  # midnight
FETCH_AGAIN = timedelta(hours=6)
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
DAYS_IN_A_WEEK = 7
FOURTH = 4


def calendar(name: str, reminders: Iterable[Reminder], *, address: Callable[[str], str]) -> bytes:
    """The same bytes as long as the same is due: address makes a path of ours one that a calendar can open."""
    whole = Calendar()
    whole.add("prodid", "-//Mordant//reminders//EN")
    whole.add("version", "2.0")
    whole.add("method", "PUBLISH")
    whole.add("x-wr-calname", name)
    whole.add("refresh-interval", FETCH_AGAIN, parameters={"VALUE": "DURATION"})
    for reminder in reminders:
        whole.add_component(calendar_event(reminder, address(reminder.path)))
    return whole.to_ical()


def calendar_event(reminder: Reminder, url: str) -> Event:
    event = Event()
    event.add("uid", f"{reminder.name}@mordant")
    # not the moment of fetching, or every answer would differ and none could say that nothing changed
    event.add("dtstamp", reminder.written_at)
    event.add("dtstart", reminder.on)
    # the end of an all-day event is the day after it: RFC 5545, 3.6.1
    event.add("dtend", reminder.on + timedelta(days=1))
    event.add("summary", reminder.words)
    event.add("url", url)
    # or the whole day would be shown as taken
    event.add("transp", "TRANSPARENT")
    if reminder.repeats:
        event.add("rrule", recurrence(reminder))
    event.add_component(alarm(reminder))
    return event


def alarm(reminder: Reminder) -> Alarm:
    bell = Alarm()
    bell.add("action", "DISPLAY")
    bell.add("trigger", RINGS_AFTER)
    bell.add("description", reminder.words)
    return bell


def recurrence(reminder: Reminder) -> vRecur:
    """As RFC 5545, 3.3.10 writes it."""
    rule: dict[str, object] = dict(FREQUENCIES[reminder.repeats])
    if reminder.repeats == Repeats.MONTHLY:
        rule["BYDAY"] = weekday_of_month(reminder.on)
    if reminder.until:
        # a date and no moment, because the start is one: RFC 5545, 3.3.10
        rule["UNTIL"] = reminder.until
    return vRecur(rule)


FREQUENCIES: dict[str, dict[str, object]] = {
    Repeats.WEEKLY: {"FREQ": "WEEKLY"},
    Repeats.FORTNIGHTLY: {"FREQ": "WEEKLY", "INTERVAL": 2},
    Repeats.MONTHLY: {"FREQ": "MONTHLY"},
    Repeats.YEARLY: {"FREQ": "YEARLY"},
}


def weekday_of_month(on: date) -> str:
    """
    The same weekday of every month; a fifth one is meant as the last.

    >>> weekday_of_month(date(2026, 3, 7)), weekday_of_month(date(2026, 3, 31))
    ('1SA', '-1TU')
    """
    nth = (on.day - 1) // DAYS_IN_A_WEEK + 1
    return f"{nth if nth <= FOURTH else -1}{WEEKDAYS[on.weekday()]}"
