"""What a calendar is told: days on which something about waste, a jar or an induction is due. It says little."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.models import Container, Person
from studio.people.models import Induction
from studio.waste import advice, content, limits, months
from studio.waste.advice import AdviceInForce
from studio.waste.content import Content
from studio.waste.descriptions import LOOK_EVERY
from studio.waste.models import Disposal, LocalAdvice
from studio.waste.threshold_warnings import ADVICE_SOON
from studio.workshop.models import Workshop

RECEIPT_AFTER = timedelta(days=14)  # common practice, no source
PAST = timedelta(days=31)  # what is over for longer is left out
AHEAD = timedelta(days=400)
MOST_JARS = 300


@dataclass(frozen=True, kw_only=True)
class Reminder:
    """
    Something that is due on a day of the studio's calendar.

    name: the same as long as it is about the same thing. path: the page that answers it, for who signs in.
    written_at: when the book last said something of it. repeats: of LocalAdvice; until: its last day.
    stays: until it is done, however long ago its day was.
    """

    name: str
    on: date
    words: str
    path: str
    written_at: datetime
    repeats: str = ""
    until: date | None = None
    stays: bool = False

    @property
    def repeats_words(self) -> str:
        return str(LocalAdvice.Repeats(self.repeats).label) if self.repeats else ""


def due(workshop: Workshop, person: Person, *, sees_everybody: bool, now: datetime) -> list[Reminder]:
    """Of all that is due, what concerns this person; whoever keeps the keys is told of everybody's inductions."""
    told = advice.told(timezone.localdate(now))
    here = content.contents_here(now)
    found = [
        *inspection_reminders(here),
        *time_limit_reminders(here, told, workshop, now),
        *collection_reminders(told, workshop),
        *ending_reminders(told),
        *receipt_reminders(),
        *jar_reminders(),
        *induction_reminders(person, sees_everybody, now),
    ]
    today = timezone.localdate(now)
    shown = (each for each in found if _is_shown(each, today))
    return sorted(shown, key=lambda each: (each.on, each.name))


def _is_shown(reminder: Reminder, today: date) -> bool:
    # what repeats began long ago and is still due
    stays = bool(reminder.repeats) or reminder.stays
    return (stays or reminder.on >= today - PAST) and reminder.on <= today + AHEAD


def inspection_reminders(here: list[Content]) -> Iterator[Reminder]:
    for each in here:
        drum = each.drum
        if each.deposits:
            entry = each.inspections[-1].entry if each.inspections else drum.entry
            yield Reminder(
                name=f"look-over-{drum.pk}",
                on=timezone.localdate(each.looked_at) + LOOK_EVERY,
                words=_("Look over %(drum)s") % {"drum": drum},
                path=drum.get_absolute_url(),
                written_at=entry.recorded_at,
                stays=True,
            )


def time_limit_reminders(
    here: list[Content], told: AdviceInForce, workshop: Workshop, now: datetime
) -> Iterator[Reminder]:
    for limit in limits.of_drums(here, months.this_month(now, told), told, workshop, now):
        yield Reminder(
            name=f"age-{limit.drum.pk}-{limit.flag.rule_id}",
            on=limit.on,
            words=ngettext(
                "%(drum)s: %(days)s day since its first drop",
                "%(drum)s: %(days)s days since its first drop",
                limit.days,
            )
            % {"drum": limit.drum, "days": limit.days},
            path=limit.drum.get_absolute_url(),
            written_at=limit.since,
        )


def collection_reminders(told: AdviceInForce, workshop: Workshop) -> Iterator[Reminder]:
    whose = _("Household collection") if workshop.is_household else _("Waste collection")
    for each in told.of_kind(LocalAdvice.Kind.COLLECTION):
        if each.next_on:
            yield advice_reminders(each, each.next_on, f"{whose}: {each.asked}", repeats=each.repeats)


def ending_reminders(told: AdviceInForce) -> Iterator[Reminder]:
    for each in told.advice:
        if each.until_on:
            words = ngettext(
                "Ask again: %(get_kind_display)s ends in %(days)s day",
                "Ask again: %(get_kind_display)s ends in %(days)s days",
                ADVICE_SOON.days,
            ) % {
                "get_kind_display": each.get_kind_display(),
                "days": ADVICE_SOON.days,
            }
            # advice for less than a month is not asked for again before it was given
            yield advice_reminders(each, max(each.until_on - ADVICE_SOON, each.said_on), words, name="ends")


def advice_reminders(one: LocalAdvice, on: date, words: str, *, name: str = "on", repeats: str = "") -> Reminder:
    return Reminder(
        name=f"advice-{one.pk}-{name}",
        on=on,
        words=words,
        path=one.get_absolute_url(),
        written_at=one.entry.recorded_at,
        repeats=repeats,
        until=one.until_on,
    )


def receipt_reminders() -> Iterator[Reminder]:
    for each in Disposal.objects.awaiting().select_related("entry"):
        yield Reminder(
            name=f"receipt-{each.pk}",
            on=timezone.localdate(each.handed_over_at) + RECEIPT_AFTER,
            words=_("%(each)s: has the signed copy come?") % {"each": each},
            path=each.get_absolute_url(),
            written_at=each.entry.recorded_at,
            stays=True,
        )


def jar_reminders() -> Iterator[Reminder]:
    jars = Container.objects.at_hand().filter(use_by_on__isnull=False).select_related("material")
    for jar in jars.order_by("use_by_on", "pk")[:MOST_JARS]:
        assert jar.use_by_on
        yield Reminder(
            name=f"use-by-{jar.pk}",
            on=jar.use_by_on,
            words=_("Use by today: %(material)s, %(code)s") % {"material": jar.material, "code": jar.code},
            path=jar.get_absolute_url(),
            # the same moment at every fetch, or the answer would differ though nothing did
            written_at=timezone.make_aware(datetime.combine(jar.received_on or jar.use_by_on, datetime.min.time())),
        )


def induction_reminders(person: Person, sees_everybody: bool, now: datetime) -> Iterator[Reminder]:
    known: QuerySet[Induction] = Induction.objects.latest_at(now).filter(
        until_on__isnull=False, person__in=Person.objects.at_work()
    )
    if not sees_everybody:
        known = known.filter(person=person)
    for each in known.select_related("entry", "person"):
        assert each.until_on
        yield Reminder(
            name=f"induction-{each.person_id}-{each.task}",
            on=each.until_on,
            words=_("Last day of the induction of %(person)s: %(get_task_display)s")
            % {"person": each.person, "get_task_display": each.get_task_display()},
            path=reverse("people:inductions"),
            written_at=each.entry.recorded_at,
        )
