"""What the pages of baths and of costs say of plates: both come before plates and cannot know them."""

from datetime import UTC, date, datetime, time
from fractions import Fraction
from typing import NamedTuple

from django import template
from django.utils import timezone

from chemistry.working import Figure
from inventory.months import later
from studio.baths.models import Bath
from studio.bites import descriptions, lines, running
from studio.bites.descriptions import RunningBite
from studio.bites.lines import Line
from studio.bites.models import Bite
from studio.orders import costs
from studio.pages.quantities import Units

register = template.Library()


class InBath(NamedTuple):
    """The plates that hang in a bath now, and its last bites."""

    running: list[RunningBite]
    lines: list[Line]


class Share(NamedTuple):
    """What a studio's plates cost."""

    studio: str
    plates: int
    cents: int


class OfAPlate(NamedTuple):
    """What a plate cost, how that was worked out, and what the plates of each studio come to."""

    cents: Fraction
    figure: Figure
    shares: list[Share]


@register.simple_tag
def bites_in(bath: Bath, units: Units) -> InBath:
    now = timezone.now()
    told = lines.of(running.latest_in(bath), units)
    return InBath([descriptions.told(line.bite, now) for line in told if line.is_running], told)


@register.simple_tag
def cost_of_a_plate(cents: Fraction, first: date, last: date, currency: str) -> OfAPlate | None:
    """Of the months from one to another, both included, by universal time as they are; None where none was bitten."""
    since, until = (datetime.combine(month, time(), UTC) for month in (first, later(last, 1)))
    plates = Bite.objects.standing().filter(happened_at__gte=since, happened_at__lt=until).plates()
    number = sum(plates.values())
    if not number:
        return None
    whole = costs.shared(cents, [cents * each / number for each in plates.values()])
    shares = [Share(*each) for each in zip(plates, plates.values(), whole, strict=True)]
    return OfAPlate(cents / number, costs.per_plate(cents, number, currency), shares)
