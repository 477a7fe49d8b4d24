"""Round numbers along an axis, and the dates worth printing under one."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta
from math import ceil, floor, log10
from typing import NamedTuple

from django.utils import timezone
from django.utils.dates import MONTHS_3
from django.utils.translation import pgettext

from chemistry.measured import plain
from inventory.dates import brief_day, months_after

MOST_DATES = 6
DAY_STEPS = (1, 2, 4, 7, 14)
MONTH_STEPS = (1, 2, 3, 6, 12, 24, 60, 120)


class Scale(NamedTuple):
    """Round limits and the step between them."""

    low: float
    high: float
    step: float

    @property
    def marks(self) -> list[float]:
        return [self.low + i * self.step for i in range(round((self.high - self.low) / self.step) + 1)]

    def label(self, value: float) -> str:
        """A mark as it is printed: with the decimals its step needs and no more."""
        return plain(value, max(0, -floor(log10(self.step))))


def holding(low: float, high: float, *, most_steps: int = 5, least_step: float = 0.0) -> Scale:
    """
    The roundest scale that holds low and high: its step is 1, 2 or 5 times a power of ten, and at least the least one.

    >>> holding(218, 287)
    Scale(low=200.0, high=300.0, step=20.0)
    >>> holding(0, 2, least_step=1.0).marks
    [0.0, 1.0, 2.0]
    """
    # one value alone has no span; its own size stands in for it
    span = (high - low) or abs(high) or 1.0
    power = 10.0 ** floor(log10(span / most_steps))
    for step in (power, 2 * power, 5 * power, 10 * power, 20 * power):
        step = max(step, least_step)
        bottom, top = floor(low / step), ceil(high / step)
        if 0 < top - bottom <= most_steps:
            return Scale(bottom * step, top * step, step)
    return Scale(low - span, low + span, span)


def dates_between(start: datetime, end: datetime) -> list[tuple[datetime, str]]:
    """The few dates worth printing under a chart: days for some weeks, first days of months beyond."""
    start, end = in_shop_time([start, end])
    days = (end - start).days + 1
    if days <= DAY_STEPS[-1] * MOST_DATES:
        step = next(step for step in DAY_STEPS if days <= step * MOST_DATES)
        return [(at, brief_day(at)) for at in days_between(start, end, step)]
    step = next((step for step in MONTH_STEPS if days <= 30 * step * MOST_DATES), MONTH_STEPS[-1])
    return [(at, month(at, with_year=not i)) for i, at in enumerate(months_between(start, end, step))]


def days_between(start: datetime, end: datetime, step: int) -> Iterator[datetime]:
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    while midnight <= end:
        yield midnight
        midnight += timedelta(days=step)


def months_between(start: datetime, end: datetime, step: int) -> Iterator[datetime]:
    """First days of months, every step-th counted from a January."""
    first = start.replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    at = months_after(first, 1 + -(start.year * 12 + start.month) % step)
    while at <= end:
        yield at
        at = months_after(at, step)


def month(at: date, *, with_year: bool = False) -> str:
    if with_year or at.month == 1:
        return pgettext("month", "%(month)s %(year)d") % {"month": brief_month(at), "year": at.year}
    return brief_month(at)


def brief_month(at: date) -> str:
    return str(MONTHS_3[at.month]).title()


def in_shop_time(moments: Iterable[datetime]) -> list[datetime]:
    """The same moments by the studio's own clock."""
    zone = timezone.get_current_timezone()
    return [moment.astimezone(zone) for moment in moments]
