"""What happened to one container."""

from dataclasses import dataclass
from operator import attrgetter

from inventory.models import Container, Entry, Movement
from studio.book.changes import signed

JOINED = ("entry__done_by", "entry__struck_by")
LATEST = 6


@dataclass(frozen=True)
class Line:
    """An entry, and what it did to this container."""

    entry: Entry
    how: str


def of_movements(container: Container, movements: list[Movement]) -> list[Line]:
    return [
        Line(movement.entry, f"{signed(container.material, movement.amount)}, {movement.kind}")
        for movement in movements
    ]


def counts_and_moves(container: Container) -> list[Line]:
    """The latest of them; a count that agreed with the book left no movement."""
    in_book_order = ("-entry__happened_at", "-entry_id")
    counts = container.counts.select_related(*JOINED).order_by(*in_book_order)[:LATEST]
    moves = container.moves.select_related(*JOINED, "from_place", "to_place").order_by(*in_book_order)[:LATEST]
    lines = [Line(count.entry, f"{container.material.show(count.amount)} were there") for count in counts]
    lines += [Line(move.entry, f"{move.from_place} → {move.to_place}") for move in moves]
    return sorted(lines, key=attrgetter("entry.happened_at", "entry.pk"), reverse=True)[:LATEST]
