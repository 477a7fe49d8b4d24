"""A stretch of the studio's days, as a page asks for it."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.dates import long_day

A_YEAR = timedelta(days=365)


@dataclass(frozen=True, kw_only=True)
class Period:
    """From the first moment of a day to the last of another, or to now."""

    since: datetime
    until: datetime

    def __contains__(self, moment: datetime) -> bool:
        return self.since <= moment <= self.until

    def __str__(self) -> str:
        first, last = timezone.localdate(self.since), timezone.localdate(self.until)
        return _("%(first)s to %(last)s") % {"first": long_day(first), "last": long_day(last)}


def of_days(first: date, last: date, *, now: datetime) -> Period:
    begins = timezone.make_aware(datetime.combine(first, time.min))
    ends = timezone.make_aware(datetime.combine(last, time.max))
    # the rest of today has not happened: how cathodes stand at the end is told of now
    return Period(since=begins, until=min(ends, now))


def last_year(now: datetime) -> Period:
    today = timezone.localdate(now)
    return of_days(today - A_YEAR, today, now=now)
