from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from inventory import dates


def test_the_same_day_months_later_or_the_last_of_a_shorter_month():
    table = [
        (date(2026, 1, 15), 1, date(2026, 2, 15)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),
        (date(2026, 8, 31), 1, date(2026, 9, 30)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2028, 2, 29), 48, date(2032, 2, 29)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (date(2026, 11, 1), 2, date(2027, 1, 1)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 1, 15), 24, date(2028, 1, 15)),
        (date(2026, 5, 31), 0, date(2026, 5, 31)),
        (date(2026, 1, 1), -1, date(2025, 12, 1)),
        (date(2026, 1, 1), -13, date(2024, 12, 1)),
        (date(2026, 3, 31), -1, date(2026, 2, 28)),
        (date(2028, 3, 31), -1, date(2028, 2, 29)),
        (date(2028, 2, 29), -12, date(2027, 2, 28)),
    ]

    for day, months, later in table:
        assert dates.months_after(day, months) == later, (day, months)


def test_a_moment_is_said_by_the_studios_own_clock():
    late = datetime(2026, 3, 5, 23, 30, tzinfo=UTC)

    with timezone.override(ZoneInfo("Europe/Berlin")):
        assert dates.long_day(late) == "6 March 2026"
        assert dates.short_day(late) == "6 Mar 2026"
        assert dates.day_of_year(late) == "6 March"
        assert dates.long_moment(late) == "6 March 2026, 00:30"
        assert dates.iso_minute(late, ZoneInfo("Europe/Berlin")) == "2026-03-06 00:30"
        assert dates.long_day(late.date()) == "5 March 2026"
    assert dates.iso_minute(None, UTC) == ""


@pytest.mark.parametrize(
    ("now", "said"),
    [
        (datetime(2026, 3, 5, 15, tzinfo=UTC), ("14:30", "today", "5 March")),
        (datetime(2026, 3, 6, 1, tzinfo=UTC), ("5 March, 14:30", "yesterday", "5 March")),
        (datetime(2026, 3, 9, 1, tzinfo=UTC), ("5 March, 14:30", "4 days ago", "5 March")),
        (datetime(2027, 3, 5, 1, tzinfo=UTC), ("5 March, 14:30", "365 days ago", "5 March 2026")),
    ],
)
def test_what_is_near_is_said_in_few_words(now, said):
    at = datetime(2026, 3, 5, 14, 30, tzinfo=UTC)

    assert (dates.day_or_clock(at, now), dates.days_ago(at, now), dates.near_day(at, now)) == said
