"""What the page of a bath says of plates: baths come before plates and cannot know them."""

from typing import NamedTuple

from django import template
from django.utils import timezone

from studio.baths.models import Bath
from studio.bites import lines, running, sayings
from studio.bites.lines import Line
from studio.bites.sayings import Told
from studio.quantities import Units

register = template.Library()


class InBath(NamedTuple):
    """The plates that hang in a bath now, and its last bites."""

    running: list[Told]
    lines: list[Line]


@register.simple_tag
def bites_in(bath: Bath, units: Units) -> InBath:
    now = timezone.now()
    told = lines.of(running.latest_in(bath), units)
    return InBath([sayings.told(line.bite, now) for line in told if line.is_running], told)
