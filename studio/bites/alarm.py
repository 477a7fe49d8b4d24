"""An alarm for a calendar: it rings on a locked phone, where a page may not."""

from datetime import timedelta

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from icalendar import Alarm, Calendar, Event

from studio.bites.models import Bite


def calendar(bite: Bite, *, uid: str, url: str) -> bytes:
    """One event when a bite's time is up, with an alarm at that moment; UTC, so that no time zone is needed."""
    event = Event()
    event.add("uid", uid)
    event.add("dtstamp", timezone.now())
    event.add("dtstart", bite.ends_at)
    # an event without any length is easily overlooked in the week of a phone's calendar
    event.add("duration", timedelta(minutes=5))
    event.add(
        "summary",
        _("%(plate)s out of %(bath)s: current off first") % {"plate": bite.plate or _("A plate"), "bath": bite.bath},
    )
    event.add("url", url)
    bell = Alarm()
    bell.add("action", "DISPLAY")
    bell.add("trigger", timedelta(0))
    minutes = round(bite.planned_min or 0)
    words = ngettext("%(plate)s has had its %(minutes)s minute.", "%(plate)s has had its %(minutes)s minutes.", minutes)
    bell.add("description", words % {"plate": bite.plate or _("The plate"), "minutes": minutes})
    event.add_component(bell)
    whole = Calendar()
    whole.add("prodid", "-//Mordant//bites//EN")
    whole.add("version", "2.0")
    whole.add_component(event)
    return whole.to_ical()
