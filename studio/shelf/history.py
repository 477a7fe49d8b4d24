"""What happened to one container."""

from dataclasses import dataclass
from operator import attrgetter

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import units
from inventory.asked_often import asked_often
from inventory.models import Container, Count, Entry, Move, Movement
from inventory.wording import translated
from studio.drawing import charts
from studio.drawing.charts import Chart, Point
from studio.shelf.kinds import COUNTED, MOVED, OPENED, RECEIVED, USED

JOINED = ("entry__done_by", "entry__struck_by")
LATEST = 6
FEWEST_POINTS = 3  # fewer say no more than the list does
AT_THE_SHELF = (RECEIVED, USED, COUNTED, MOVED, OPENED)  # their words would only say again what the line shows


@dataclass(frozen=True)
class ShelfHistoryLine:
    """An entry, what it did to this container, and what it says for itself."""

    entry: Entry
    how: str
    why: str


def of_movements(container: Container, movements: list[Movement]) -> list[ShelfHistoryLine]:
    return [
        history_line(movement.entry, f"{container.material.signed(movement.amount)}, {_(movement.kind)}")
        for movement in movements
    ]


def chart(container: Container, movements: list[Movement]) -> Chart | None:
    """What was left after each of the latest movements, latest first: what there is now, walked back."""
    material, left = container.material, container.on_hand
    per_unit = units.parse(f"1 {material.shown_unit}", material.dimension)
    # it has stood there since the last of them
    points = [Point(timezone.now(), left / per_unit)]
    for movement in movements:
        # a struck movement moved nothing: walked back, it would shift all before it
        if not movement.entry.is_struck:
            points.append(Point(movement.happened_at, left / per_unit))
            left -= movement.amount
    if len(points) <= FEWEST_POINTS:
        return None
    # half a litre in whole numbers would read as nothing or as one
    decimals = 0 if max(point.value for point in points) >= 10 else 2
    unit = translated(units.printed_units(material.shown_unit))
    title = _("Left in %(code)s") % {"code": container.code}
    return charts.line(points[::-1], title=title, unit=unit, decimals=decimals, is_stock=True)


def counts_and_moves(container: Container) -> list[ShelfHistoryLine]:
    """The latest of them; a count that agreed with the book left no movement."""
    # as many of each as of both: all of the latest may be of one sort
    lines = [
        history_line(count.entry, _("%(show)s were there") % {"show": container.material.show(count.amount)})
        for count in latest_counts(container.pk)
    ]
    lines += [history_line(move.entry, f"{move.from_place} → {move.to_place}") for move in latest_moves(container.pk)]
    return sorted(lines, key=attrgetter("entry.happened_at", "entry.pk"), reverse=True)[:LATEST]


@asked_often
def latest_counts(container: int) -> QuerySet[Count]:
    counts = Count.objects.filter(container=container).select_related(*JOINED)
    return counts.order_by("-entry__happened_at", "-entry_id")[:LATEST]


@asked_often
def latest_moves(container: int) -> QuerySet[Move]:
    moves = Move.objects.filter(container=container).select_related(*JOINED, "from_place", "to_place")
    return moves.order_by("-entry__happened_at", "-entry_id")[:LATEST]


def history_line(entry: Entry, how: str) -> ShelfHistoryLine:
    said = "" if entry.kind in AT_THE_SHELF else entry.subject
    return ShelfHistoryLine(entry, how, ". ".join(filter(None, (said, entry.note))))
