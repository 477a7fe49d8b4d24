"""An alarm for a calendar: it rings on a locked phone, where a page may not."""

from datetime import timedelta

from django.utils import timezone
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
    event.add("summary", f"{bite.plate or 'A plate'} out of {bite.bath}: current off first")
    event.add("url", url)
    bell = Alarm()
    bell.add("action", "DISPLAY")
    bell.add("trigger", timedelta(0))
    bell.add("description", f"{bite.plate or 'The plate'} has had its {bite.planned_min:.0f} minutes.")
    event.add_component(bell)
    whole = Calendar()
    whole.add("prodid", "-//Mordant//bites//EN")
    whole.add("version", "2.0")
    whole.add_component(event)
    return whole.to_ical()
