"""Whether the book is sound: what is kept beside the entries, worked out anew from them."""

from collections.abc import Iterator

from django.db import IntegrityError, connection, transaction
from django.db.models import F, Max, Model, Sum

from inventory import facts, ledger, months
from inventory.entries import every_line
from inventory.models import Container, Entry, Material, MonthSum, MonthSumQuerySet, Movement

ROWS_AT_ONCE = 1_000
KEYS_AT_ONCE = 100_000
SUMS = ("amount", "lines")
NOTHING = (0, 0)


def integrity_errors() -> Iterator[str]:
    """
    Sentences about what is not sound.

    All is read in short steps: one long look would keep the writers of a SQLite file waiting, and fill the memory.
    """
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
            yield from errors_of_month(key)
    yield from facts.integrity_errors()
    last = 0
    while step := list(Container.objects.filter(pk__gt=last).order_by("pk").select_related("material")[:ROWS_AT_ONCE]):
        for container in step:
            if any(errors_of_container(container)):
                # somebody may have written between two looks: now the row is locked
                with transaction.atomic():
                    locked = Container.objects.select_for_update().get(pk=container.pk)
                    yield from list(errors_of_container(locked))
        last = step[-1].pk


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
    """With its row locked: whoever writes about this month waits."""
    with transaction.atomic():
        kept = kept_sums(MonthSum.objects.select_for_update().filter(**key._asdict())).get(key, NOTHING)
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


def kept_sums(sums: MonthSumQuerySet) -> dict[months.MonthKey, tuple[int, int]]:
    return {
        months.MonthKey(*key): (amount, lines)
        for *key, amount, lines in sums.values_list(*months.MonthKey._fields, *SUMS)
    }
