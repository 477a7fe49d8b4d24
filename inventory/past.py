"""What stood where at a moment of the past, by the lines that stand today and the facts of that moment."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from typing import Any, NamedTuple

from django.db.models import BigIntegerField, F, Max, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce
from django.utils import timezone

from inventory import facts
from inventory.models import Container, Count, Move, Movement, Place

BEFORE_EVERY_BOOK = datetime(1900, 1, 1, tzinfo=UTC)
AT_ONCE = 500
KEY = BigIntegerField()
LATEST_FIRST = ("-entry__happened_at", "-entry_id", "-pk")


def with_amount_at(rows: QuerySet[Any], *, name: str, container: str, at: Any, apart_from: Any = 0) -> QuerySet[Any]:
    """
    Each row with what was in its container at a moment, under a name, in base units.

    The last standing count before and what came and went since, as `ledger.on_hand_at` works it out for one jar.
    apart_from: the key of an entry that is not to count.
    """
    counts = Count.objects.standing().filter(container=OuterRef(container), entry__happened_at__lte=at)
    last = counts.exclude(entry_id=apart_from).order_by(*LATEST_FIRST)
    since = Movement.objects.standing().filter(
        Q(happened_at__gt=OuterRef("last_at"))
        | Q(happened_at=OuterRef("last_at"), entry_id__gt=OuterRef("last_entry")),
        container=OuterRef(container),
        happened_at__lte=at,
        kind__in=Movement.REAL,
    )
    moved = since.exclude(entry_id=apart_from).order_by().values("container").annotate(sum=Sum("amount")).values("sum")
    known: QuerySet[Any] = rows.annotate(
        # NULL is before nothing: without a count all that ever moved is to be summed
        last_at=Coalesce(Subquery(last.values("entry__happened_at")[:1]), Value(BEFORE_EVERY_BOOK)),
        last_entry=Coalesce(Subquery(last.values("entry_id")[:1]), 0, output_field=KEY),
    ).annotate(**{name: Coalesce(Subquery(last.values("amount")[:1]), 0) + Coalesce(Subquery(moved), 0)})
    return known


def containers_on_hand_at(at: datetime) -> list[Container]:
    """The containers that held something then, each with place, material and `on_hand` of that moment, to be read."""
    moves = Move.objects.filter(container=OuterRef("pk"))
    last_move = moves.standing().filter(entry__happened_at__lte=at).order_by(*LATEST_FIRST).values("to_place")[:1]
    # the move that was written first began where the container came to stand when it was received
    first_place = moves.order_by("pk").values("from_place")[:1]
    found: Iterable[Any] = (
        with_amount_at(Container.objects.all(), name="then", container="pk", at=at)
        .annotate(then_in=Coalesce(Subquery(last_move), Subquery(first_place), F("place_id"), output_field=KEY))
        .filter(then__gt=0)
        .select_related("material")
        .order_by("material__name", "pk")
    )
    containers = facts.as_they_were(found, at)
    places = {place.pk: place for place in facts.as_they_were(Place.objects.all(), at)}
    today = {container.material_id: container.material for container in containers}
    materials = {material.pk: material for material in facts.as_they_were(today.values(), at)}
    for container in containers:
        container.on_hand, container.place = container.then, places[container.then_in]
        container.material = materials[container.material_id]
    return containers


class StorageInterval(NamedTuple):
    """A container in a place, from one day until another; until None it stands there still."""

    container: Container
    place: Place
    since: date
    until: date | None


def storage_intervals(containers: QuerySet[Container]) -> Iterator[StorageInterval]:
    """Where each container ever stood, in short turns; one whose receipt was struck never came."""
    came = containers.filter(movements__entry__struck_at=None, movements__kind__in=Movement.REAL).distinct()
    turn = came.select_related("material", "place").order_by("pk")
    while some := list(turn[:AT_ONCE]):
        rows = Move.objects.filter(container__in=some).select_related("entry", "from_place", "to_place")
        moves: dict[int, list[Move]] = defaultdict(list)
        for move in rows.order_by("entry__happened_at", "entry_id", "pk"):
            moves[move.container_id].append(move)
        # what a jar was emptied by ends its stay, whenever somebody wrote it down
        left = Movement.objects.standing().filter(container__in=some, amount__lt=0).order_by()
        ended = dict(left.values_list("container").annotate(Max("happened_at")))
        for container in some:
            yield from intervals_of_container(container, moves[container.pk], ended.get(container.pk))
        turn = turn.filter(pk__gt=some[-1].pk)


def intervals_of_container(
    container: Container, moves: Sequence[Move], ended: datetime | None
) -> Iterator[StorageInterval]:
    """moves: in the order of the book, struck ones too: the one written first began where it had come to stand."""
    first = min(moves, key=lambda move: move.pk).from_place if moves else container.place
    standing = [move for move in moves if not move.entry.is_struck]
    days = [container.received_on, *(timezone.localdate(move.entry.happened_at) for move in standing)]
    last = timezone.localdate(ended) if ended and container.on_hand == 0 else None
    places = [first, *(move.to_place for move in standing)]
    for place, since, until in zip(places, days, [*days[1:], last], strict=True):
        yield StorageInterval(container, place, since, until)
