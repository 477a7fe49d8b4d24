"""Pages by key: a page begins where the last one ended, so the ten-thousandth costs what the first one does."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.db.models import QuerySet
from django.http import QueryDict

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)
AT_ONCE = 500
LOOKED_THROUGH = 50_000


@dataclass(frozen=True)
class BookKey:
    """A row's place in the book: when it happened and, among what happened then, when it was written."""

    happened_at: datetime
    pk: int

    @classmethod
    def of(cls, row) -> "BookKey":
        return cls(row.happened_at, row.pk)

    @classmethod
    def read(cls, text: str) -> "BookKey | None":
        """What `str` wrote into an address; None for anything else."""
        moment, _, pk = text.partition("-")
        try:
            return cls(EPOCH + int(moment) * MICROSECOND, int(pk))
        except (ValueError, OverflowError):
            return None

    def __str__(self) -> str:
        return f"{(self.happened_at - EPOCH) // MICROSECOND}-{self.pk}"

    def earlier(self, rows: QuerySet) -> QuerySet:
        # the bound on the moment alone is what an index can begin at; an OR would read it from its end
        return rows.filter(happened_at__lte=self.happened_at).exclude(happened_at=self.happened_at, pk__gte=self.pk)

    def later(self, rows: QuerySet) -> QuerySet:
        return rows.filter(happened_at__gte=self.happened_at).exclude(happened_at=self.happened_at, pk__lte=self.pk)

    def and_earlier(self, rows: QuerySet) -> QuerySet:
        return rows.filter(happened_at__lte=self.happened_at).exclude(happened_at=self.happened_at, pk__gt=self.pk)

    def and_later(self, rows: QuerySet) -> QuerySet:
        return rows.filter(happened_at__gte=self.happened_at).exclude(happened_at=self.happened_at, pk__lt=self.pk)


@dataclass(frozen=True)
class Page:
    """
    Rows, newest first, and the addresses of the neighbouring pages where there are any.

    looked_to: the moment up to which the book was looked through, where that is not its end.
    """

    rows: list
    newer: str = ""
    older: str = ""
    looked_to: datetime | None = None


def page(
    rows: QuerySet,
    asked: QueryDict,
    *,
    size: int,
    among: QuerySet | None = None,
    newest: Callable[[], list] | None = None,
) -> Page:
    """
    The page of the book that an address asks for: the newest one, or the one beside a key.

    among: all that rows are sought among, where no index leads to them. Then so many lines are looked through at a
    time and the neighbouring page goes on from there, or a word that nobody wrote would be sought in the whole book.
    newest: asks for the newest of the rows and one more than fit, where that is asked often.
    """
    after, before = BookKey.read(asked.get("after", "")), BookKey.read(asked.get("before", ""))
    # looked for once: both the page and its neighbours end there
    end = last_looked_through(among, after, before) if among is not None else None
    if after:
        ahead = after.later(end.and_earlier(rows) if end else rows)
        found = list(ahead.order_by("happened_at", "pk")[: size + 1])
        shown = found[:size][::-1]
    elif newest and not before:
        found = newest()
        shown = found[:size]
    else:
        behind = end.and_later(rows) if end else rows
        found = list((before.earlier(behind) if before else behind).order_by("-happened_at", "-pk")[: size + 1])
        shown = found[:size]
    # the next page begins after the last row that is shown, or after the last line looked through
    on = BookKey.of(found[size - 1]) if len(found) > size else end
    back = (BookKey.of(shown[-1 if after else 0]) if shown else after or before) if after or before else None
    if not shown and not end:
        return Page([])
    newer, older = (on, back) if after else (back, on)
    return Page(
        shown,
        newer=address_beside("after", newer, asked),
        older=address_beside("before", older, asked),
        looked_to=end.happened_at if end and end in (newer, older) else None,
    )


def last_looked_through(among: QuerySet, after: BookKey | None, before: BookKey | None) -> BookKey | None:
    """The last line that is looked through on the way from a key; None where there are no more than that."""
    if after:
        beyond = after.later(among).order_by("happened_at", "pk")
    else:
        beyond = (before.earlier(among) if before else among).order_by("-happened_at", "-pk")
    last_and_next = list(beyond.values_list("happened_at", "pk")[LOOKED_THROUGH - 1 : LOOKED_THROUGH + 1])
    return BookKey(*last_and_next[0]) if len(last_and_next) == 2 else None


def address_beside(side: str, key: BookKey | None, asked: QueryDict) -> str:
    if key is None:
        return ""
    query = asked.copy()
    # the filter stays; of the two keys an address carries one
    query.pop("after", None)
    query.pop("before", None)
    query[side] = str(key)
    return f"?{query.urlencode()}"


def every(rows: QuerySet) -> Iterator:
    """All rows, oldest first, read in short turns: one long read would keep a SQLite book from being written."""
    turn = rows.order_by("happened_at", "pk")
    while some := list(turn[:AT_ONCE]):
        yield from some
        turn = BookKey.of(some[-1]).later(rows).order_by("happened_at", "pk")
