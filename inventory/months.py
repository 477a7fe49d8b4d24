"""The months of the book added up, so that rates and costs read a few lines instead of every movement."""

from collections import defaultdict
from collections.abc import Collection
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, NamedTuple

from django.db import connection
from django.db.models import F, Max, QuerySet, Sum

from inventory.dates import months_after
from inventory.models import MonthSum, Movement, MovementQuerySet

KEYS_AT_ONCE = 100_000
MICROSECOND = timedelta(microseconds=1)


class MonthKey(NamedTuple):
    month: date
    material_id: int
    person_id: int
    kind: str


def month_of(moment: datetime) -> date:
    """
    The first day of a moment's month, by universal time: a change of the studio's clock does not touch the sums.

    >>> month_of(datetime(2026, 3, 31, 23, 59, tzinfo=UTC))
    datetime.date(2026, 3, 1)
    """
    return moment.astimezone(UTC).date().replace(day=1)


def worked_out(movements: MovementQuerySet | None = None) -> dict[MonthKey, tuple[int, int]]:
    """Amount and number of standing movements, added up anew; read in short turns, as in `integrity`."""
    movements = Movement.objects.all() if movements is None else movements
    sums: dict[MonthKey, tuple[int, int]] = defaultdict(lambda: (0, 0))
    last = movements.aggregate(last=Max("pk"))["last"] or 0
    facts = ("happened_at", "container__material_id", "entry__done_by_id", "kind", "amount")
    for first in range(0, last + 1, KEYS_AT_ONCE):
        turn = movements.standing().filter(pk__gte=first, pk__lt=first + KEYS_AT_ONCE)
        for moment, material_id, person_id, kind, amount in turn.values_list(*facts):
            key = MonthKey(month_of(moment), material_id, person_id, kind)
            sums[key] = (sums[key][0] + amount, sums[key][1] + 1)
    return dict(sums)


def between(materials: Collection[int], since: datetime, until: datetime) -> dict[tuple[int, str], int]:
    """
    What standing movements of some materials come to, by material and kind, both moments included.

    Whole months are read from their sums, and what lies before and after them one by one.
    """
    begins, ends = month_of(since - MICROSECOND), month_of(until)
    first, last = (datetime.combine(month, time(), UTC) for month in (months_after(begins, 1), ends))
    whole = MonthSum.objects.filter(material__in=materials, month__gt=begins, month__lt=ends)
    parts: list[QuerySet[Any, Any]] = [whole.order_by().values_list("material", "kind")]
    for span in [(since, first - MICROSECOND), (last, until)] if first < last else [(since, until)]:
        moved = Movement.objects.standing().filter(container__material__in=materials, happened_at__range=span)
        parts.append(moved.order_by().values_list("container__material", "kind"))
    sums, *others = (part.annotate(Sum("amount")) for part in parts)
    found: dict[tuple[int, str], int] = defaultdict(int)
    for material, kind, amount in sums.union(*others, all=True) if since <= until and materials else ():
        found[material, kind] += amount
    return dict(found)


def add_movement(movement: Movement, *, times: int = 1) -> None:
    """times: -1 takes it out again, as one whose entry was struck."""
    key = MonthKey(
        month_of(movement.happened_at), movement.container.material_id, movement.entry.done_by_id, movement.kind
    )
    add_to_sum(key, times * movement.amount, times)


def add_movements(movements: MovementQuerySet, *, times: int = 1) -> None:
    """Many at once, each month's line touched once."""
    for key, (amount, lines) in worked_out(movements).items():
        add_to_sum(key, times * amount, times * lines)


def add_to_sum(key: MonthKey, amount: int, lines: int) -> None:
    # added by the database: of two people writing at once both amounts count
    if lines < 0:
        MonthSum.objects.filter(**key._asdict()).update(amount=F("amount") + amount, lines=F("lines") + lines)
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO inventory_monthsum AS kept (month, material_id, person_id, kind, amount, lines) "
            "VALUES (%s, %s, %s, %s, %s, %s) ON CONFLICT (month, material_id, person_id, kind) "
            "DO UPDATE SET amount = kept.amount + excluded.amount, lines = kept.lines + excluded.lines",
            [key.month.isoformat(), *key[1:], amount, lines],
        )
