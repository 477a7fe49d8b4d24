"""The list of who is inducted for what, and what of it needs a hand."""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from django.utils import timezone

from inventory.dates import long_day
from inventory.models import EntryQuerySet, Person
from studio.pages.action_items import ActionItem
from studio.people import inductions
from studio.people.inductions import Task
from studio.people.models import Induction

SOON = timedelta(days=7)
SEASON = timedelta(days=90)
MOST = 6  # the list has the rest


class Cell(NamedTuple):
    """What is said of one person and one task."""

    task: str
    level: str
    word: str
    words: str


class Row(NamedTuple):
    person: Person
    cells: list[Cell]


def rows(people: Iterable[Person]) -> Iterator[Row]:
    """A line for each of the people."""
    people, today = list(people), timezone.localdate()
    known = inductions.latest(people)
    for person in people:
        yield Row(person, [cell_of(task, person, known.get((person.pk, task)), today) for task in Task])


def cell_of(task: Task, person: Person, induction: Induction | None, today: date) -> Cell:
    if induction is None:
        if person.is_keyholder:
            return Cell(task.label, "fine", "keyholder", "shows it to others")
        return Cell(task.label, "", "not inducted", "")
    shown = f"shown by {induction.entry.done_by}"
    if induction.until_on and induction.until_on < today:
        return Cell(task.label, "act", "ended", f"on {long_day(induction.until_on)}, {shown}")
    ends_soon = induction.until_on and induction.until_on <= today + SOON
    level, word = ("look", "ends soon") if ends_soon else ("fine", "inducted")
    return Cell(task.label, level, word, f"{induction.ends}, {shown}")


def action_items(bites: EntryQuerySet, today: date) -> Iterator[ActionItem]:
    """Inductions that end within a week, and people who bit without one: both are answered by inducting them."""
    # longer ago than a season an induction would be about another bath, and the bench would never be quiet
    recent = bites.standing().filter(happened_at__gte=timezone.now() - SEASON)
    found = inductions.uninducted(recent, Task.BATH).select_related("done_by").order_by("happened_at", "pk")
    for person, entry in list({entry.done_by: entry for entry in found}.items())[:MOST]:
        day = long_day(entry.happened_at)
        words = f"{person} bit on {day} without an induction for the bath."
        yield ActionItem("act", "not inducted", words, "Look", person.get_absolute_url())
    ending = Induction.objects.valid_at(timezone.now()).filter(until_on__lte=today + SOON, person__left_on=None)
    for induction in ending.select_related("person").order_by("until_on", "pk")[:MOST]:
        day = long_day(induction.until_on)
        words = f"The induction of {induction.person} for {induction.get_task_display()} ends on {day}."
        yield ActionItem("look", "induction ends", words, "Look", induction.person.get_absolute_url())
