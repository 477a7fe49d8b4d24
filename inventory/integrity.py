"""Whether the book is sound: what is kept beside the entries, worked out anew from them."""

from collections.abc import Iterator

from django.db import IntegrityError, connection, transaction
from django.db.models import F, Max, Model, QuerySet, Sum

from inventory import facts, ledger, months
from inventory.models import (
    Container,
    Count,
    Entry,
    FactChange,
    Material,
    MonthSum,
    MonthSumQuerySet,
    Move,
    Movement,
    Opening,
    SafetySheet,
)

ROWS_AT_ONCE = 1_000
KEYS_AT_ONCE = 100_000
SUMS = ("amount", "lines")
NOTHING = (0, 0)


def integrity_errors() -> Iterator[str]:
    """
    Sentences about what is not sound.

    All is read in short steps: one long look would keep the writers of a SQLite file waiting, and fill the memory.
    """
    for model in (Entry, Container, Movement, Count, Move, Opening, SafetySheet, FactChange, MonthSum):
        yield from _strays(model)
    yield from _misdated_movements()
    yield from _months()
    yield from facts.integrity_errors()
    for container in _in_steps(Container.objects.all()):
        if any(_faults_of(container)):
            yield from _second_look(container)


def _second_look(container: Container) -> Iterator[str]:
    """Somebody may have written between two looks: now the row is locked."""
    with transaction.atomic():
        yield from list(_faults_of(Container.objects.select_for_update().get(pk=container.pk)))


def _faults_of(container: Container) -> Iterator[str]:
    show = container.material.show
    holds = f"{container} holds {container.shown_on_hand()}"
    added_up = container.movements.standing().aggregate(sum=Sum("amount", default=0))["sum"]
    if container.on_hand != added_up:
        yield f"{holds}, its movements add up to {show(added_up)}"
    by_the_book = ledger.on_hand_at(container)
    if container.on_hand != by_the_book:
        yield f"{holds}, by its last count and what came and went since it is {show(by_the_book)}"
    place = ledger.place_at(container)
    if container.place != place:
        yield f"{container} stands in {container.place}, its last move left it in {place}"


def _misdated_movements() -> Iterator[str]:
    last = Movement.objects.aggregate(last=Max("pk"))["last"] or 0
    for first in range(0, last + 1, KEYS_AT_ONCE):
        movements = Movement.objects.filter(pk__gte=first, pk__lt=first + KEYS_AT_ONCE)
        for movement in movements.exclude(happened_at=F("entry__happened_at")).select_related("container__material"):
            yield f"movement {movement.pk} of {movement.container} has another date than its entry"


def _months() -> Iterator[str]:
    kept, worked_out = _kept_months(MonthSum.objects.all()), months.worked_out()
    for key in sorted(kept.keys() | worked_out.keys()):
        if kept.get(key, NOTHING) != worked_out.get(key, NOTHING):
            yield from _second_look_at_month(key)


def _second_look_at_month(key: months.Key) -> Iterator[str]:
    """As `_second_look`: whoever writes about this month waits for its row."""
    with transaction.atomic():
        kept = _kept_months(MonthSum.objects.select_for_update().filter(**key._asdict())).get(key, NOTHING)
        of_it = Movement.objects.filter(
            container__material=key.material_id, entry__done_by=key.person_id, kind=key.kind
        )
        added_up = months.worked_out(of_it).get(key, NOTHING)
        if kept != added_up:
            show = Material.objects.get(pk=key.material_id).show
            yield (
                f"{key.month:%B %Y} is kept as {show(kept[0])} {key.kind} by person {key.person_id}, its movements "
                f"add up to {show(added_up[0])}"
            )


def _kept_months(sums: MonthSumQuerySet) -> dict[months.Key, tuple[int, int]]:
    return {months.Key(*key): (amount, lines) for *key, amount, lines in sums.values_list(*months.Key._fields, *SUMS)}


def _strays(model: type[Model]) -> Iterator[str]:
    try:
        connection.check_constraints([model._meta.db_table])
    except IntegrityError as error:
        yield str(error)


def _in_steps(rows: QuerySet[Container]) -> Iterator[Container]:
    last = 0
    while step := list(rows.filter(pk__gt=last).order_by("pk").select_related("material", "place")[:ROWS_AT_ONCE]):
        yield from step
        last = step[-1].pk
