"""Pages by key: a page begins where the last one ended, so the ten-thousandth costs what the first one does."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.db.models import QuerySet
from django.http import QueryDict

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
MICROSECOND = timedelta(microseconds=1)
AT_ONCE = 500


@dataclass(frozen=True)
class Key:
    """A row's place in the book: when it happened and, among what happened then, when it was written."""

    happened_at: datetime
    pk: int

    @classmethod
    def of(cls, row) -> "Key":
        return cls(row.happened_at, row.pk)

    @classmethod
    def read(cls, text: str) -> "Key | None":
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


@dataclass(frozen=True)
class Page:
    """Rows, newest first, and the addresses of the neighbouring pages where there are any."""

    rows: list
    newer: str = ""
    older: str = ""


def page(rows: QuerySet, asked: QueryDict, *, size: int) -> Page:
    """The page of the book that an address asks for: the newest one, or the one beside a key."""
    after, before = Key.read(asked.get("after", "")), Key.read(asked.get("before", ""))
    if after:
        found = list(after.later(rows).order_by("happened_at", "pk")[: size + 1])
        shown, has_newer, has_older = found[:size][::-1], len(found) > size, True
    else:
        found = list((before.earlier(rows) if before else rows).order_by("-happened_at", "-pk")[: size + 1])
        shown, has_newer, has_older = found[:size], before is not None, len(found) > size
    if not shown:
        return Page([])
    return Page(
        shown,
        newer=_address(asked, "after", shown[0]) if has_newer else "",
        older=_address(asked, "before", shown[-1]) if has_older else "",
    )


def every(rows: QuerySet) -> Iterator:
    """All rows, oldest first, read in short turns: one long read would keep a SQLite book from being written."""
    turn = rows.order_by("happened_at", "pk")
    while some := list(turn[:AT_ONCE]):
        yield from some
        turn = Key.of(some[-1]).later(rows).order_by("happened_at", "pk")


def _address(asked: QueryDict, side: str, row) -> str:
    query = asked.copy()
    query.pop("after", None)
    query.pop("before", None)
    query[side] = str(Key.of(row))
    return f"?{query.urlencode()}"
