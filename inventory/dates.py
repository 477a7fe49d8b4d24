"""How a day is said, wherever the book says one, by the studio's own clock and in its order; and months later."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache, wraps
from typing import TypeVar

from dateutil.relativedelta import relativedelta
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language, ngettext, pgettext
from django.utils.translation import gettext as _

from chemistry import locale

MOST_DAYS = 1000  # of each form, of which a page shows a hundred at most
MOST_OF_A_YEAR = timedelta(days=300)
END_OF_TIME = datetime.max.replace(tzinfo=UTC)  # for queries about a moment, where none is meant

Day = TypeVar("Day", bound=date)


def said_once(say: Callable[[date], str]) -> Callable[[date], str]:
    """Pages say the same few days over and over: each is worked out once in each language and order."""
    known = lru_cache(MOST_DAYS)(lambda on, order, language: say(on))

    @wraps(say)
    def said(on: date) -> str:
        day = timezone.localtime(on).date() if isinstance(on, datetime) else on
        return known(day, locale.current().dates, get_language())

    return said


def said(on: date, form: str) -> str:
    """A moment is said by the studio's clock: by universal time an evening would be another day."""
    return date_format(timezone.localtime(on) if isinstance(on, datetime) else on, form)


def is_day_first() -> bool:
    return locale.current().dates == "day"


@said_once
def long_day(on: date) -> str:
    """
    >>> long_day(date(2026, 3, 5))
    '5 March 2026'
    >>> with locale.override(locale.Locale(dates="month")):
    ...     long_day(date(2026, 3, 5))
    'March 5, 2026'
    """
    return said(on, pgettext("date format", "j F Y") if is_day_first() else pgettext("date format", "F j, Y"))


@said_once
def short_day(on: date) -> str:
    """
    >>> short_day(date(2026, 3, 5))
    '5 Mar 2026'
    """
    return said(on, pgettext("date format", "j M Y") if is_day_first() else pgettext("date format", "M j, Y"))


@said_once
def day_of_year(on: date) -> str:
    """
    A day whose year nobody would mistake.

    >>> day_of_year(date(2026, 3, 5))
    '5 March'
    """
    return said(on, pgettext("date format", "j F") if is_day_first() else pgettext("date format", "F j"))


@said_once
def day_of_week(on: date) -> str:
    """
    >>> day_of_week(date(2026, 3, 5))
    'Thursday 5 March 2026'
    """
    return said(on, pgettext("date format", "l j F Y") if is_day_first() else pgettext("date format", "l, F j, Y"))


@said_once
def brief_day_of_week(on: date) -> str:
    """
    >>> brief_day_of_week(date(2026, 3, 5))
    'Thu 5 Mar'
    """
    return said(on, pgettext("date format", "D j M") if is_day_first() else pgettext("date format", "D, M j"))


@said_once
def long_month(on: date) -> str:
    """
    >>> long_month(date(2026, 3, 5))
    'March 2026'
    """
    return said(on, pgettext("date format", "F Y"))


def long_moment(at: datetime) -> str:
    """Such as 5 March 2026, 14:30."""
    return _("%(day)s, %(clock)s") % {"day": long_day(at), "clock": clock(at)}


@said_once
def brief_day(on: date) -> str:
    """
    >>> brief_day(date(2026, 3, 5))
    '5 Mar'
    """
    return said(on, pgettext("date format", "j M") if is_day_first() else pgettext("date format", "M j"))


def moment_of_year(at: datetime) -> str:
    """Such as 5 March, 14:30."""
    return _("%(day)s, %(clock)s") % {"day": day_of_year(at), "clock": clock(at)}


def clock(at: datetime) -> str:
    """Such as 14:30, or 2:30 PM."""
    in_24 = locale.current().clock == "24"
    return said(at, pgettext("date format", "H:i") if in_24 else pgettext("date format", "g:i A"))


def near_day(at: datetime, now: datetime) -> str:
    """A day without its year, unless that would not be guessed."""
    return long_day(at) if abs(at - now) > MOST_OF_A_YEAR else day_of_year(at)


def days_ago(at: datetime, now: datetime) -> str:
    days = (timezone.localdate(now) - timezone.localdate(at)).days
    near = {0: _("today"), 1: _("yesterday")}
    return near.get(days) or ngettext("%(days)d day ago", "%(days)d days ago", days) % {"days": days}


def day_or_clock(at: datetime, now: datetime | None = None) -> str:
    """The time of day, such as 14:30, with the day where it is another."""
    same_day = timezone.localdate(at) == timezone.localdate(now)
    return clock(at) if same_day else moment_of_year(at)


def iso_minute(at: datetime | None, zone: tzinfo) -> str:
    """As a file has it, such as 2026-03-05 14:30."""
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else ""


def months_after(day: Day, months: int) -> Day:
    """The same day so many months later, or earlier; the last of that month, where it is shorter."""
    later: Day = day + relativedelta(months=months)
    return later
