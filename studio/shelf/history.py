"""What happened to one container."""

from dataclasses import dataclass
from operator import attrgetter

from inventory.models import Container, Entry, Movement
from studio.book.changes import signed

JOINED = ("entry__done_by", "entry__struck_by")
LATEST = 6
AT_THE_SHELF = ("received", "used", "counted", "moved")  # their words would only say again what the line shows


@dataclass(frozen=True)
class Line:
    """An entry, what it did to this container, and what it says for itself."""

    entry: Entry
    how: str
    why: str


def of_movements(container: Container, movements: list[Movement]) -> list[Line]:
    return [
        _line(movement.entry, f"{signed(container.material, movement.amount)}, {movement.kind}")
        for movement in movements
    ]


def counts_and_moves(container: Container) -> list[Line]:
    """The latest of them; a count that agreed with the book left no movement."""
    in_book_order = ("-entry__happened_at", "-entry_id")
    counts = container.counts.select_related(*JOINED).order_by(*in_book_order)[:LATEST]
    moves = container.moves.select_related(*JOINED, "from_place", "to_place").order_by(*in_book_order)[:LATEST]
    lines = [_line(count.entry, f"{container.material.show(count.amount)} were there") for count in counts]
    lines += [_line(move.entry, f"{move.from_place} → {move.to_place}") for move in moves]
    return sorted(lines, key=attrgetter("entry.happened_at", "entry.pk"), reverse=True)[:LATEST]


def _line(entry: Entry, how: str) -> Line:
    said = "" if entry.kind in AT_THE_SHELF else entry.subject
    return Line(entry, how, ". ".join(filter(None, (said, entry.note))))
