"""Receive, use, count, move, open, split: the only writers of movements."""

import re
from datetime import date, datetime
from functools import cached_property
from typing import NamedTuple, Self
from uuid import uuid4

from django.db import connection
from django.db.models import Exists, Min, OuterRef, Q, QuerySet, Sum
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory import months
from inventory.asked_often import asked_often
from inventory.dates import long_day, long_moment, months_after, short_day
from inventory.models import Container, Count, Entry, Material, Move, Movement, Opening, Place
from inventory.refusals import NotEnoughStock, Refused

MANY_AT_ONCE = 20
NOTHING_TAKEN = {
    Movement.Kind.USED: gettext_lazy("Something used is more than nothing."),
    Movement.Kind.SPLIT: gettext_lazy("Something put into another container is more than nothing."),
}
IN_THE_BOOK = ("entry__happened_at", "entry_id", "pk")


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
    purity: float | None = None,
) -> Container:
    """Put a new container on the shelf. Without a code of its own it is given the next free one."""
    if amount <= 0:
        raise Refused("amount", _("Something received is more than nothing."))
    received_on = timezone.localdate(entry.happened_at)
    if use_by_on is None and material.sealed_months:
        use_by_on = months_after(received_on, material.sealed_months)
    container = shelve(
        Container(
            code=code,
            material=material,
            place=place,
            batch=batch,
            received_on=received_on,
            use_by_on=use_by_on,
            sealed_use_by_on=use_by_on,
            purity=purity,
            on_hand=amount,
        ),
        Movement.Kind.RECEIVED,
        entry,
    )
    if opened_on:
        Opening.objects.create(entry=entry, container=container, opened_on=opened_on)
        refresh_opened_on(container)
    container.refresh_from_db()
    return container


def use(container: Container, amount: int, *, entry: Entry) -> None:
    """Take some out. Refused when less was there, now or on the day it happened."""
    jar = JarThen(container, entry)
    jar.take(amount, Movement.Kind.USED)
    if jar.container.opened_on is None:
        refresh_opened_on(jar.container)


def finish(container: Container, *, entry: Entry) -> int:
    """What is left goes, whatever became of it; answers how much that was."""
    left = JarThen(container, entry).there
    if left <= 0:
        said = _("%(code)s holds nothing; it is finished already.") % {"code": container.code}
        raise Refused(None, said, ways=[(_("Its page"), container.get_absolute_url())])
    use(container, left, entry=entry)
    return left


def open_it(container: Container, *, entry: Entry) -> None:
    """Break the seal; from that day on it keeps as long as its material does once open."""
    container = JarThen(container, entry).received_before().container
    if container.opened_on:
        raise Refused(
            None,
            _("%(code)s is open since %(opened_on)s.")
            % {"code": container.code, "opened_on": long_day(container.opened_on)},
            ways=[(_("Its page"), container.get_absolute_url())],
        )
    Opening.objects.create(entry=entry, container=container, opened_on=timezone.localdate(entry.happened_at))
    refresh_opened_on(container)


def refresh_opened_on(container: Container) -> None:
    """The container is open since the first opening, use or decanting that stands, and its use-by follows."""
    first = container.openings.standing().aggregate(first=Min("opened_on"))["first"]
    used = container.movements.standing().breaking_the_seal().aggregate(first=Min("happened_at"))["first"]
    opened_on = min(filter(None, (first, used and timezone.localdate(used))), default=None)
    use_by_on = container.material.use_by(container.sealed_use_by_on, opened_on)
    Container.objects.filter(pk=container.pk).update(opened_on=opened_on, use_by_on=use_by_on)


def split(container: Container, amount: int, *, entry: Entry, place: Place, code: str = "") -> Container:
    """Put some into a second container of the same material, batch and age."""
    jar = JarThen(container, entry)
    container = jar.container
    jar.take(amount, Movement.Kind.SPLIT)
    second = shelve(
        Container(
            code=code,
            material=container.material,
            place=place,
            batch=container.batch,
            received_on=timezone.localdate(entry.happened_at),
            use_by_on=container.use_by_on,
            sealed_use_by_on=container.use_by_on,
            bulk_density_g_per_ml=container.bulk_density_g_per_ml,
            purity=container.purity,
            on_hand=amount,
        ),
        Movement.Kind.SPLIT,
        entry,
    )
    # whoever decants breaks the seal of the first; what is in the second has been open for as long
    refresh_opened_on(container)
    container.refresh_from_db(fields=["opened_on"])
    if container.opened_on:
        Opening.objects.create(entry=entry, container=second, opened_on=container.opened_on)
        refresh_opened_on(second)
    second.refresh_from_db()
    return second


def count(container: Container, amount: int, *, entry: Entry) -> int:
    """Assert what is there at the entry's moment; answer the difference from the book."""
    if amount < 0:
        raise Refused("amount", _("A count is nothing or more."))
    jar = JarThen(container, entry).received_before()
    difference = amount - jar.there
    Count.objects.create(entry=entry, container=container, amount=amount)
    if difference:
        jar.write(difference, Movement.Kind.COUNTED)
    return difference


def move(container: Container, to_place: Place, *, entry: Entry) -> None:
    container = JarThen(container, entry).received_before().container
    stood_in = place_at(container, entry)
    if stood_in == to_place:
        raise Refused("place", _("%(code)s stands there already.") % {"code": container.code})
    Move.objects.create(entry=entry, container=container, from_place=stood_in, to_place=to_place)
    put_in_place(container)


def put_in_place(container: Container) -> None:
    """The container stands where its last standing move left it, whichever was written last."""
    Container.objects.filter(pk=container.pk).update(place=place_at(container))


def lock_containers_of(struck: Entry) -> list[Container]:
    """The containers an entry speaks of, locked in one order for everybody."""
    lines = (struck.movements, struck.counts, struck.moves, struck.openings)
    touched = {pk for each in lines for pk in each.values_list("container", flat=True)}
    # by material and then by jar, as everything that takes out of several jars sorts them, or two could wait for each
    # other
    locked = Container.objects.select_for_update(of=("self",)).select_related("material")
    return list(locked.order_by("material_id", "pk").filter(pk__in=touched))


def void_receipts(struck: Entry, touched: list[Container]) -> list[Container]:
    """
    Empty in a few statements what came with an entry about to be struck and nobody touched since; answer the others.

    A list that was brought in has thousands of them, and one by one they would keep everybody else from writing.
    """
    received = struck.movements.filter(kind=Movement.Kind.RECEIVED)
    # a few are not worth the further questions
    if len(touched) < MANY_AT_ONCE or received.count() != len(touched):
        return touched
    others = [
        model.objects.filter(container__in=received.values("container")).exclude(entry=struck)
        for model in (Movement, Count, Move, Opening)
    ]
    shared = {pk for lines in others for pk in lines.values_list("container", flat=True)}
    alone = received.exclude(container__in=shared)
    months.add_movements(alone, times=-1)
    Container.objects.filter(pk__in=alone.values("container")).update(on_hand=0)
    return [container for container in touched if container.pk in shared]


def rebuild_on_hand(container: Container, struck: Entry) -> int:
    """
    Bring the running sum of a locked container to what stands without an entry that was just struck.

    Answers what a movement beside it must keep, so that the standing movements go on adding up to the running sum.
    """
    on_hand = on_hand_at(container)
    if on_hand < 0:
        took = Entry.objects.standing().filter(movements__container=container, movements__amount__lt=0)
        latest = took.exclude(pk=struck.pk).latest_first()[:3]
        named = "; ".join(f"“{entry}” ({short_day(entry.happened_at)})" for entry in latest)
        said = _("Without it %(code)s %(material)s would hold less than nothing. In the way: %(named)s.") % {
            "code": container.code,
            "material": container.material,
            "named": named,
        }
        raise NotEnoughStock(None, said)
    left = list(container.movements.filter(entry=struck).select_related("entry", "container"))
    for movement in left:
        months.add_movement(movement, times=-1)
    Container.objects.filter(pk=container.pk).update(on_hand=on_hand)
    return on_hand - (container.on_hand - sum(movement.amount for movement in left))


def record_compensation(container: Container, amount: int, *, entry: Entry) -> None:
    """Write what the counts need so that they still stand; the running sum does not change."""
    record_movement(container, amount, Movement.Kind.KEPT, entry)


def record_movement(container: Container, amount: int, kind: str, entry: Entry) -> None:
    at = entry.happened_at
    months.add_movement(
        Movement.objects.create(entry=entry, container=container, happened_at=at, amount=amount, kind=kind)
    )


def on_hand_at(container: Container, entry: Entry | None = None) -> int:
    """
    What stood in the container at an entry's place in the book, without one at its end: the last count and what was
    received and used since. In base units.
    """
    counts, movements = container.counts.standing(), container.movements.standing().filter(kind__in=Movement.REAL)
    if entry:
        counts, movements = counts.filter(until(entry)), movements.filter(until(entry, "happened_at"))
    counted = counts.select_related("entry").order_by(*IN_THE_BOOK).last()
    if counted:
        movements = movements.filter(after(counted.entry, "happened_at"))
    since: int = movements.aggregate(sum=Sum("amount", default=0))["sum"]
    return since + (counted.amount if counted else 0)


def place_at(container: Container, entry: Entry | None = None) -> Place:
    """Where the container stood at an entry's place in the book, without one at its end."""
    moves = container.moves.standing()
    if entry:
        moves = moves.filter(until(entry))
    last = moves.select_related("to_place").order_by(*IN_THE_BOOK).last()
    if last:
        return last.to_place
    # the move that was written first began where the container came to stand when it was received
    first = container.moves.select_related("from_place").order_by("pk").first()
    return first.from_place if first else container.place


def shelve(container: Container, kind: str, entry: Entry) -> Container:
    """Save a new container with what is in it, under its own code or under the next free one."""
    code = container.code
    if re.fullmatch(r"C\d+", code, re.IGNORECASE):
        raise Refused(
            "code", _("Codes like %(code)s are given out by the book; choose one of another kind.") % {"code": code}
        )
    if code and (other := Container.objects.with_code(code).first()):
        said = _("%(code)s is on another container already.") % {"code": other.code}
        raise Refused("code", said, ways=[(_("Its page"), other.get_absolute_url())])
    # no label can carry a plus, so the code that stands until the row has its number collides with none
    container.code = code or f"+{uuid4().hex[:11]}"
    container.save()
    if not code:
        # numbered as they come; the number is the row's own, so that two people receiving at once get two codes
        Container.objects.filter(pk=container.pk).update(code=f"C{container.pk}")
        container.code = f"C{container.pk}"
    record_movement(container, container.on_hand, kind, entry)
    return container


@asked_often
def locked(pk: int) -> QuerySet[Container]:
    # without its place, because PostgreSQL does not find a row again whose join changed while it waited
    return Container.objects.select_for_update(of=("self",)).select_related("material").filter(pk=pk)


def add_to(jar: int, amount: int) -> None:
    """To the running sum, added by the database: composing this anew would cost five times what it takes to do."""
    table = connection.ops.quote_name(Container._meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET on_hand = on_hand + %s WHERE id = %s", [amount, jar])


@asked_often
def written_after(jar: int, happened_at: datetime, entry: int) -> "QuerySet[Container, tuple[bool, bool]]":
    """Whether a standing count, and whether any movement of a container stands behind a place in the book."""
    place = PlaceInTheBook(happened_at, entry)
    counts = Count.objects.standing().filter(after(place), container=OuterRef("pk"))
    movements = Movement.objects.filter(after(place, "happened_at"), container=OuterRef("pk"))
    return Container.objects.order_by().filter(pk=jar).values_list(Exists(counts), Exists(movements))


class JarThen:
    """
    A locked container at an entry's place in the book.

    there: what it holds there. counted_later: whether a standing count fixes what it holds at some place after that.
    """

    def __init__(self, container: Container, entry: Entry):
        # one use at a time, or two people could both take the last 100 g
        [self.container] = locked(container.pk)
        self.entry = entry

    @cached_property
    def later(self) -> tuple[bool, bool]:
        [found] = written_after(self.container.pk, self.entry.happened_at, self.entry.pk)
        return found

    @property
    def counted_later(self) -> bool:
        return self.later[0]

    @cached_property
    def there(self) -> int:
        # as a rule that place is the end of the book, and the running sum answers
        return on_hand_at(self.container, self.entry) if any(self.later) else self.container.on_hand

    def received_before(self) -> Self:
        if timezone.localdate(self.entry.happened_at) < self.container.received_on:
            raise self.came_later(long_day(self.container.received_on))
        return self

    def came_later(self, came: str) -> Refused:
        words = _("%(code)s came on %(came)s. Date this later, or strike that it came and write it anew.")
        return Refused(
            "happened_at",
            words % {"code": self.container.code, "came": came},
            ways=[(_("How it came"), self.receipt.get_absolute_url())],
        )

    @property
    def receipt(self) -> Entry:
        return self.container.movements.order_by("pk").select_related("entry")[0].entry

    def take(self, amount: int, kind: Movement.Kind) -> None:
        if amount <= 0:
            raise Refused("amount", str(NOTHING_TAKEN[kind]))
        if amount > self.there:
            # of the same day the hour tells
            if self.received_before().entry.happened_at < self.receipt.happened_at:
                raise self.came_later(long_moment(self.receipt.happened_at))
            raise self.not_enough(self.there)
        self.write(-amount, kind)

    def write(self, amount: int, kind: str) -> None:
        record_movement(self.container, amount, kind, self.entry)
        # somebody looked later and saw what was there: the running sum keeps what they counted
        if self.counted_later:
            record_compensation(self.container, -amount, entry=self.entry)
        elif self.container.on_hand + amount < 0:
            raise self.not_enough(self.container.on_hand)
        else:
            add_to(self.container.pk, amount)

    def not_enough(self, there: int) -> NotEnoughStock:
        show = self.container.material.show
        ways = [
            (_("Receive more"), reverse("shelf:receive", args=[self.container.material_id])),
            (_("Count what is there"), reverse("shelf:count", args=[self.container.code])),
        ]
        return NotEnoughStock(
            "amount",
            _("Only %(there)s in %(code)s %(material)s.")
            % {"there": show(max(there, 0)), "code": self.container.code, "material": self.container.material},
            ways=ways,
        )


class PlaceInTheBook(NamedTuple):
    """Where an entry stands among all."""

    happened_at: datetime
    pk: int


def until(entry: Entry | PlaceInTheBook, clock: str = "entry__happened_at") -> Q:
    """Lines up to an entry's place in the book, its own among them."""
    at = entry.happened_at
    # the bound on the moment alone is what an index can begin at; with an OR all lines would be looked at
    return Q(**{f"{clock}__lte": at}) & ~Q(**{clock: at}, entry_id__gt=entry.pk)


def after(entry: Entry | PlaceInTheBook, clock: str = "entry__happened_at") -> Q:
    """Lines after an entry's place in the book."""
    at = entry.happened_at
    return Q(**{f"{clock}__gte": at}) & ~Q(**{clock: at}, entry_id__lte=entry.pk)
