"""
Who is inducted for what, the list of it, and the gate before the bath, the solvents and the copper.

A keyholder, who shows it to others, is never stopped; so the etcher at home, keyholder of the own book, meets no gate.
"""

from collections.abc import Collection, Iterable, Iterator
from datetime import date, timedelta
from typing import NamedTuple

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import TruncDate
from django.urls import reverse
from django.utils import timezone
from django.utils.text import get_text_list
from django.utils.translation import gettext as _

from inventory import book
from inventory.book import Signed
from inventory.dates import long_day
from inventory.entries import PersonQuerySet
from inventory.models import Entry, EntryQuerySet, Person
from inventory.refusals import Refused
from studio.pages.action_items import ActionItem
from studio.people import kinds
from studio.people.models import Induction
from studio.people.roles import KEYHOLDER, VIEWER
from studio.workshop.models import Workshop

Task = Induction.Task

SOON = timedelta(days=7)
SEASON = timedelta(days=90)
MOST = 6  # the list has the rest


def induct(person: Person, *, tasks: Collection[str], by: Signed, until_on: date | None = None) -> Entry:
    return induct_all(people=[person], tasks=tasks, by=by, until_on=until_on)


def induct_all(
    *, people: Collection[Person], tasks: Collection[str], by: Signed, until_on: date | None = None
) -> Entry:
    """People were shown how it is done here; `by.done_by` showed it."""
    shown = [task for task in Task if task in tasks]
    given = [Induction(person=person, task=task, until_on=until_on) for person in people for task in shown]
    words = {
        "people": get_text_list([str(person) for person in people], _("and")),
        "named": get_text_list([str(task.label) for task in shown], _("and")),
        "ends": given[0].ends,
    }
    with book.entry(kinds.INDUCTED, _("Inducted %(people)s for %(named)s, %(ends)s") % words, by) as entry:
        if by.done_by in people:
            raise Refused(
                "done_by", _("Nobody inducts themselves: say who showed it to %(person)s.") % {"person": by.done_by}
            )
        if until_on and until_on < timezone.localdate(entry.happened_at):
            raise Refused("until_on", _("It would end before it began."))
        for induction in given:
            induction.entry = entry
        Induction.objects.bulk_create(given)
    return entry


def refuse_uninducted(task: Task, by: Signed) -> None:
    """
    Refuse what a person is not inducted for, where the studio asks for it.

    A keyholder who writes the line for them gives the reason in its note, and it is written.
    """
    moment = by.happened_at or timezone.now()
    # a keyholder shows it to others; one who writes for somebody else answers for it by the reason in the note
    trusted = [by.done_by.account_id]
    if by.note and by.recorded_by:
        trusted.append(by.recorded_by.pk)
    inducted = Induction.objects.valid_at(moment).filter(person=by.done_by, task=task)
    is_asked = Workshop.objects.filter(
        ~Exists(inducted), ~Exists(Person.objects.keyholders().filter(account__in=trusted)), asks_for_induction=True
    )
    if is_asked.exists():
        last = Induction.objects.latest_at(moment).filter(person=by.done_by, task=task).first()
        missing = _("%(done_by)s is not inducted for %(label)s.") % {"done_by": by.done_by, "label": task.label}
        if last and last.until_on:
            ended = long_day(last.until_on)
            missing = _("The induction of %(done_by)s for %(label)s ended on %(ended)s.") % {
                "done_by": by.done_by,
                "label": task.label,
                "ended": ended,
            }
        ways = [(_("Who is inducted, and by whom"), reverse("people:inductions"))]
        raise Refused("done_by", f"{missing} {whom_to_ask()}", ways=ways)


def why_not(task: Task, person: Person) -> str:
    """What stands in somebody's way before they begin; empty where nothing does."""
    try:
        refuse_uninducted(task, Signed(done_by=person))
    except Refused as refusal:
        return str(refusal.message)
    return ""


def uninducted(entries: QuerySet[Entry], task: Task) -> QuerySet[Entry]:
    """Those of the entries whose doer was not inducted for the task then, and is not now."""
    on_that_day = Q(until_on=None) | Q(until_on__gte=OuterRef("day"))
    own = Induction.objects.standing().filter(person=OuterRef("done_by"), task=task)
    inducted_then = own.filter(on_that_day, entry__happened_at__lte=OuterRef("happened_at"))
    inducted_now = Induction.objects.valid_at(timezone.now()).filter(person=OuterRef("done_by"), task=task)
    # who has left can be inducted no more, so nothing would ever answer the line
    here = entries.annotate(day=TruncDate("happened_at")).filter(done_by__left_on=None)
    stopped = here.exclude(done_by__role__in=(KEYHOLDER, VIEWER))
    return stopped.filter(~Exists(inducted_then), ~Exists(inducted_now))


def lacking(task: str) -> PersonQuerySet:
    """Those at work who are not inducted for a task now, and are nobody who shows it to others."""
    inducted = Induction.objects.valid_at(timezone.now()).filter(person=OuterRef("pk"), task=task)
    return Person.objects.at_work().exclude(role=KEYHOLDER).filter(~Exists(inducted))


def whom_to_ask() -> str:
    names = get_text_list(list(Person.objects.keyholders().values_list("name", flat=True)), _("or"))
    return _(
        "Ask %(names)s: a keyholder shows it and writes it down, or writes this line with the reason in its note."
    ) % {"names": names}


class InductionStatus(NamedTuple):
    """What is said of one person and one task."""

    task: str
    level: str
    word: str
    words: str


class InductionRow(NamedTuple):
    person: Person
    cells: list[InductionStatus]


def rows(people: Iterable[Person]) -> Iterator[InductionRow]:
    people, today = list(people), timezone.localdate()
    found = Induction.objects.latest_at(timezone.now()).filter(person__in=people).select_related("entry__done_by")
    known = {(induction.person_id, induction.task): induction for induction in found}
    for person in people:
        yield InductionRow(person, [cell_of(task, person, known.get((person.pk, task)), today) for task in Task])


def cell_of(task: Task, person: Person, induction: Induction | None, today: date) -> InductionStatus:
    if induction is None:
        if person.is_keyholder:
            return InductionStatus(str(task.label), "fine", _("keyholder"), _("shows it to others"))
        return InductionStatus(str(task.label), "", _("not inducted"), "")
    shown = _("shown by %(done_by)s") % {"done_by": induction.entry.done_by}
    if induction.until_on and induction.until_on < today:
        return InductionStatus(
            str(task.label),
            "act",
            _("ended"),
            _("on %(until_on)s, %(shown)s") % {"until_on": long_day(induction.until_on), "shown": shown},
        )
    ends_soon = induction.until_on and induction.until_on <= today + SOON
    level, word = ("look", _("ends soon")) if ends_soon else ("fine", _("inducted"))
    return InductionStatus(str(task.label), level, word, f"{induction.ends}, {shown}")


def action_items(bites: EntryQuerySet, today: date) -> Iterator[ActionItem]:
    """Inductions that end within a week, and people who bit without one: both are answered by inducting them."""
    # longer ago than a season an induction would be about another bath, and the bench would never be quiet
    recent = bites.standing().filter(happened_at__gte=timezone.now() - SEASON)
    found = uninducted(recent, Task.BATH).select_related("done_by").order_by("happened_at", "pk")
    # one line about each of them, for the latest bite: in the order of the book it comes last
    for person, entry in list({entry.done_by: entry for entry in found}.items())[:MOST]:
        day = long_day(entry.happened_at)
        words = _("%(person)s bit on %(day)s without an induction for the bath.") % {"person": person, "day": day}
        yield ActionItem(
            "act",
            _("not inducted"),
            words,
            _("Induct %(person)s") % {"person": person},
            person.get_absolute_url(),
            is_private=True,
        )
    ending = Induction.objects.valid_at(timezone.now()).filter(
        until_on__lte=today + SOON, person__in=Person.objects.at_work()
    )
    for induction in ending.select_related("person").order_by("until_on", "pk")[:MOST]:
        day = long_day(induction.until_on)
        words = _("The induction of %(person)s for %(task)s ends on %(day)s.") % {
            "person": induction.person,
            "task": induction.get_task_display(),
            "day": day,
        }
        yield ActionItem(
            "look",
            _("induction ends"),
            words,
            _("Induct %(person)s") % {"person": induction.person},
            induction.person.get_absolute_url(),
            is_private=True,
        )
