"""Mail of what comes due, to whoever chose it: a week ahead, and on its day."""

from datetime import date, datetime, timedelta

from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.dates import long_day
from inventory.models import Person
from studio.people import outbox
from studio.people.models import Mail
from studio.people.outbox import Letter, composes, plans
from studio.waste.reminders import Reminder, due
from studio.workshop.models import Workshop

AHEAD = timedelta(days=7)


@plans
def plan_reminders(workshop: Workshop, now: datetime) -> None:
    """Once a day for each, and only where something has come nearer since the last time."""
    today = timezone.localdate(now)
    for person in outbox.who_wants(Mail.REMINDERS):
        mailed = Mail.objects.filter(person=person, kind=Mail.REMINDERS).order_by("-topic").first()
        last = date.fromisoformat(mailed.topic) if mailed else None
        if last != today and any(comes_nearer(each, last, today) for each in soon(workshop, person, now)):
            outbox.put(Mail.REMINDERS, [person], topic=today.isoformat())


def soon(workshop: Workshop, person: Person, now: datetime) -> list[Reminder]:
    """What is due within a week or was before; of inductions, the person's own alone: a mail names nobody else."""
    until = timezone.localdate(now) + AHEAD
    return [each for each in due(workshop, person, sees_everybody=False, now=now) if each.on <= until]


def comes_nearer(reminder: Reminder, last: date | None, today: date) -> bool:
    days = (reminder.on - AHEAD, reminder.on)
    return last is None or any(last < day <= today for day in days)


@composes(Mail.REMINDERS)
def reminders(mail: Mail) -> Letter | None:
    workshop = Workshop.objects.get()
    found = soon(workshop, mail.person, timezone.now())
    if not found:
        return None
    lines = [outbox.with_address(f"{long_day(each.on)}: {each.words}", each.path) for each in found]
    return Letter(_("What comes due in %(workshop)s") % {"workshop": workshop}, "\n\n".join(lines))
