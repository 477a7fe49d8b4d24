"""Receive, use, count, move: the only writers of movements."""

import re
from datetime import date
from uuid import uuid4

from django.db.models import F, Q, Sum
from django.utils import timezone

from inventory.models import Container, Count, Entry, Material, Move, Movement, Place
from inventory.refusals import NotEnoughStock, Refused


def receive(
    material: Material,
    amount: int,
    *,
    entry: Entry,
    place: Place,
    code: str = "",
    batch: str = "",
    opened_on: date | None = None,
    use_by_on: date | None = None,
) -> Container:
    """Put a new container on the shelf. Without a code of its own it is given the next free one."""
    if amount <= 0:
        raise Refused("amount", "Something received is more than nothing.")
    _check_code(code)
    container = Container.objects.create(
        code=code or f"+{uuid4().hex[:11]}",
        material=material,
        place=place,
        batch=batch,
        received_on=timezone.localdate(entry.happened_at),
        opened_on=opened_on,
        use_by_on=use_by_on,
    )
    if not code:
        # numbered as they come; the number is the row's own, so that two people receiving at once get two codes
        Container.objects.filter(pk=container.pk).update(code=f"C{container.pk}")
    _write(container, amount, Movement.Kind.RECEIVED, entry)
    container.refresh_from_db()
    return container


def use(container: Container, amount: int, *, entry: Entry) -> None:
    """Take some out. Refused when less was there, now or on the day it happened."""
    if amount <= 0:
        raise Refused("amount", "Something used is more than nothing.")
    container = _lock(container)
    there = on_hand_at(container, entry) if _is_back_dated(container, entry) else container.on_hand
    if amount > there:
        raise _not_enough(container, there)
    if container.opened_on is None:
        Container.objects.filter(pk=container.pk).update(opened_on=timezone.localdate(entry.happened_at))
    _write(container, -amount, Movement.Kind.USED, entry)


def count(container: Container, amount: int, *, entry: Entry) -> int:
    """Assert what is there at the entry's moment; answer the difference from the book."""
    if amount < 0:
        raise Refused("amount", "A count is nothing or more.")
    container = _lock(container)
    difference = amount - on_hand_at(container, entry)
    Count.objects.create(entry=entry, container=container, amount=amount)
    if difference:
        _write(container, difference, Movement.Kind.COUNTED, entry)
    return difference


def move(container: Container, to_place: Place, *, entry: Entry) -> None:
    """Carry a container to another place."""
    container = _lock(container)
    if container.place_id == to_place.pk:
        raise Refused("place", f"{container.code} stands there already.")
    Move.objects.create(entry=entry, container=container, from_place=container.place, to_place=to_place)
    Container.objects.filter(pk=container.pk).update(place=to_place)


def put_back(struck: Move) -> None:
    """After a move is struck the container stands where the last standing move left it."""
    last = Move.objects.standing().filter(container=struck.container).order_by("-entry__happened_at", "-pk").first()
    overtaken = last and (last.entry.happened_at, last.entry_id) > (struck.entry.happened_at, struck.entry_id)
    if not overtaken:
        Container.objects.filter(pk=struck.container_id).update(place=struck.from_place)


def keep(container: Container, amount: int, *, entry: Entry) -> None:
    """Write what a later count needs so that its amount still stands; the running sum does not change."""
    Movement.objects.create(
        entry=entry, container=container, happened_at=entry.happened_at, amount=amount, kind=Movement.Kind.KEPT
    )


def shift(container: Container, amount: int, *, instead_of: Entry) -> None:
    """Move the running sum of a locked container when an entry stops counting."""
    if container.on_hand + amount < 0:
        raise NotEnoughStock(None, _in_the_way(container, instead_of))
    Container.objects.filter(pk=container.pk).update(on_hand=F("on_hand") + amount)


def on_hand_at(container: Container, entry: Entry) -> int:
    """What stood in the container just before an entry's place in the book, in base units."""
    earlier = Q(happened_at__lt=entry.happened_at) | Q(happened_at=entry.happened_at, entry_id__lt=entry.pk)
    total: int = container.movements.standing().filter(earlier).aggregate(sum=Sum("amount", default=0))["sum"]
    return total


def later_count(container: Container, entry: Entry) -> Count | None:
    """The first standing count of the container after an entry's place in the book."""
    later = Q(entry__happened_at__gt=entry.happened_at) | Q(entry__happened_at=entry.happened_at, entry_id__gt=entry.pk)
    return (
        Count.objects.standing().filter(later, container=container).order_by("entry__happened_at", "entry_id").first()
    )


def unsound():
    """Containers whose running sum differs from their standing movements, with the `true_sum`."""
    standing = Sum("movements__amount", filter=Q(movements__entry__struck_at=None), default=0)
    return Container.objects.annotate(true_sum=standing).exclude(on_hand=F("true_sum"))


def _write(container: Container, amount: int, kind: str, entry: Entry) -> None:
    Movement.objects.create(entry=entry, container=container, happened_at=entry.happened_at, amount=amount, kind=kind)
    if later_count(container, entry):
        keep(container, -amount, entry=entry)
    else:
        if container.on_hand + amount < 0:
            raise _not_enough(container, container.on_hand)
        Container.objects.filter(pk=container.pk).update(on_hand=F("on_hand") + amount)


def _lock(container: Container) -> Container:
    # one use at a time, or two people could both take the last 100 g
    return Container.objects.select_for_update(of=("self",)).select_related("material", "place").get(pk=container.pk)


def _is_back_dated(container: Container, entry: Entry) -> bool:
    return container.movements.filter(happened_at__gt=entry.happened_at).exists()


def _not_enough(container: Container, there: int) -> NotEnoughStock:
    return NotEnoughStock("amount", f"Only {container.material.show(there)} in {container.code} {container.material}.")


def _in_the_way(container: Container, struck: Entry) -> str:
    users = (
        Entry.objects.standing()
        .filter(movements__container=container, movements__amount__lt=0)
        .exclude(pk=struck.pk)
        .latest_first()[:3]
    )
    named = "; ".join(f"“{entry}” ({timezone.localdate(entry.happened_at):%d.%m.%Y})" for entry in users)
    return f"Without it {container.code} {container.material} would hold less than nothing. In the way: {named}."


def _check_code(code: str) -> None:
    if re.fullmatch(r"C\d+", code):
        raise Refused("code", f"Codes like {code} are given out by the book; choose one of another kind.")
    if code and Container.objects.filter(code=code).exists():
        raise Refused("code", f"{code} is on another container already.")
