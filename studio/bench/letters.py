"""Mail of what needs a hand, on Mondays, to whoever chose it."""

from collections.abc import Iterator
from datetime import datetime

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from studio.bench import needs
from studio.bench.needs import Now
from studio.people import outbox
from studio.people.models import Mail
from studio.people.outbox import Letter, composes, plans
from studio.workshop.models import Workshop

FROM_HOUR = 6


@plans
def plan_digest(workshop: Workshop, now: datetime) -> None:
    """From Monday morning on; a book that was closed then sends it as soon as it is open."""
    here = timezone.localtime(now)
    year, week, weekday = here.isocalendar()
    if weekday > 1 or here.hour >= FROM_HOUR:
        outbox.put(Mail.DIGEST, outbox.who_wants(Mail.DIGEST), topic=f"{year}-W{week:02}")


@composes(Mail.DIGEST)
def digest(mail: Mail) -> Letter:
    """Sent with nothing in it too: a week without a mail is a week in which mail failed."""
    workshop = Workshop.objects.get()
    lines = list(lines_of(Now(workshop)))
    count = ngettext("%(count)s thing needs a hand.", "%(count)s things need a hand.", len(lines))
    text = count % {"count": len(lines)} if lines else _("Nothing needs a hand.")
    return Letter(_("What needs a hand in %(workshop)s") % {"workshop": workshop}, "\n\n".join([text, *lines]))


def lines_of(now: Now) -> Iterator[str]:
    for item in needs.action_items(now):
        said = _("Look on its page.") if item.is_private else f"{item.sentence} {item.label}."
        yield outbox.with_address(f"{item.word}: {said}", item.url)
    for described in now.baths:
        if (suggestion := described.suggestion) is not None:
            yield outbox.with_address(f"{described.bath}: {suggestion.sentence} {suggestion.label}.", suggestion.url)
