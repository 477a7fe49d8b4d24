"""Whether the book is sound: what is kept beside the entries, worked out anew from them."""

from collections.abc import Callable, Iterable, Iterator
from functools import partial

from django.db import IntegrityError, connection
from django.db.models import F, Max, Model, QuerySet, Sum

from inventory import facts, ledger, months
from inventory.entries import every_line
from inventory.models import Container, Entry, Material, MonthSum, MonthSumQuerySet, Movement

ROWS_AT_ONCE = 1_000
LOOKS = 3
MOST_DAMAGE = 10
KEYS_AT_ONCE = 100_000
SUMS = ("amount", "lines")
NOTHING = (0, 0)


def integrity_errors() -> Iterator[str]:
    """
    Sentences about what is not sound.

    All is read in short steps: one long look would keep the writers of a SQLite file waiting, and fill the memory.
    Nothing is locked and nothing written, so a book that may only be read can be looked over too.
    """
    yield from damage()
    checked: tuple[type[Model], ...] = (Entry, Container, MonthSum, *every_line())
    # a row restored by hand may point at nothing, which databases check only as it is written
    for model in checked:
        try:
            connection.check_constraints([model._meta.db_table])
        except IntegrityError as error:
            yield str(error)
    yield from misdated_movements()
    kept, worked_out = kept_sums(MonthSum.objects.all()), months.worked_out()
    for key in sorted(kept.keys() | worked_out.keys()):
        if kept.get(key, NOTHING) != worked_out.get(key, NOTHING):
            yield from what_stays(partial(errors_of_month, key))
    yield from facts.integrity_errors()
    last = 0
    while step := list(Container.objects.filter(pk__gt=last).order_by("pk").select_related("material")[:ROWS_AT_ONCE]):
        for container in step:
            if any(errors_of_container(container)):
                again = Container.objects.select_related("material").filter(pk=container.pk)
                yield from what_stays(partial(errors_of_row, again))
        last = step[-1].pk


def damage() -> Iterator[str]:
    """What the database's own check finds; PostgreSQL has none that a book's owner may ask for."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA integrity_check({MOST_DAMAGE})")
            yield from (f"the file is damaged: {said}" for (said,) in cursor.fetchall() if said != "ok")


def what_stays(look: Callable[[], Iterable[str]]) -> list[str]:
    """Faults that are found again and again: somebody may write between two looks, and what is broken stays so."""
    found = list(look())
    for _ in range(LOOKS - 1):
        if not found:
            break
        again = set(look())
        found = [fault for fault in found if fault in again]
    return found


def errors_of_row(row: QuerySet[Container]) -> Iterator[str]:
    yield from errors_of_container(row.get())


def errors_of_container(container: Container) -> Iterator[str]:
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


def misdated_movements() -> Iterator[str]:
    last = Movement.objects.aggregate(last=Max("pk"))["last"] or 0
    for first in range(0, last + 1, KEYS_AT_ONCE):
        movements = Movement.objects.filter(pk__gte=first, pk__lt=first + KEYS_AT_ONCE)
        for movement in movements.exclude(happened_at=F("entry__happened_at")).select_related("container__material"):
            yield f"movement {movement.pk} of {movement.container} has another date than its entry"


def errors_of_month(key: months.MonthKey) -> Iterator[str]:
    kept = kept_sums(MonthSum.objects.filter(**key._asdict())).get(key, NOTHING)
    of_it = Movement.objects.filter(container__material=key.material_id, entry__done_by=key.person_id, kind=key.kind)
    added_up = months.worked_out(of_it).get(key, NOTHING)
    if kept != added_up:
        show = Material.objects.get(pk=key.material_id).show
        yield (
            f"{key.month:%B %Y} is kept as {show(kept[0])} {key.kind} by person {key.person_id}, its movements "
            f"add up to {show(added_up[0])}"
        )


def kept_sums(sums: MonthSumQuerySet) -> dict[months.MonthKey, tuple[int, int]]:
    return {
        months.MonthKey(*key): (amount, lines)
        for *key, amount, lines in sums.values_list(*months.MonthKey._fields, *SUMS)
    }
