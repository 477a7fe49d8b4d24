"""What an entry changed, line by line: what hangs on it, and stops counting when it is struck."""

from collections.abc import Iterator
from dataclasses import dataclass

from inventory.models import Entry, Material


@dataclass(frozen=True)
class Change:
    """One thing that an entry changed: what, where its page is, and how."""

    what: str
    url: str
    how: str


def changes(entry: Entry) -> list[Change]:
    return [*_shelf(entry), *_baths(entry)]


def signed(material: Material, amount: int) -> str:
    """What came with a plus, what went with a minus."""
    return ("+" if amount > 0 else "−") + material.show(abs(amount))


def _shelf(entry: Entry) -> Iterator[Change]:
    for movement in entry.movements.select_related("container__material"):
        shown = signed(movement.container.material, movement.amount)
        yield Change(str(movement.container), movement.container.get_absolute_url(), f"{shown}, {movement.kind}")
    for count in entry.counts.select_related("container__material"):
        shown = count.container.material.show(count.amount)
        yield Change(str(count.container), count.container.get_absolute_url(), f"{shown} were there")
    for move in entry.moves.select_related("container__material", "from_place", "to_place"):
        yield Change(str(move.container), move.container.get_absolute_url(), f"{move.from_place} → {move.to_place}")


def _baths(entry: Entry) -> Iterator[Change]:
    for event in entry.bath_events.select_related("bath"):
        yield Change(str(event.bath), event.bath.get_absolute_url(), event.words)
    for answer in entry.answers.select_related("reading__bath"):
        bath = answer.reading.bath
        yield Change(str(bath), bath.get_absolute_url(), f"{answer}: {answer.reading.words}")
