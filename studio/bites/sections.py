"""What bites have to say on the pages of baths and of costs."""

from datetime import UTC, date, datetime, time
from fractions import Fraction
from typing import Any

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from inventory.asked_often import asked_often
from inventory.dates import months_after
from studio.baths.models import Bath
from studio.bites import descriptions, lines
from studio.bites.models import Bite
from studio.orders import costs
from studio.pages.quantities import Units
from studio.pages.sections import section_of

LATEST = 6


@section_of("bath")
def bites_in(bath: Bath, units: Units) -> dict[str, SafeString]:
    """The plates that hang in a bath now, and its last bites."""
    now, told = timezone.now(), lines.bite_lines(latest_bites(bath.pk), units)
    running_now = [descriptions.told(line.bite, now) for line in told if line.is_running]
    return {
        "first": render_to_string("bites/_running.html", {"running": running_now}),
        "last": render_to_string("bites/_latest.html", {"lines": told}),
    }


@asked_often
def latest_bites(bath: int) -> "QuerySet[Bite, Any]":
    bites = Bite.objects.standing().filter(bath=bath).with_stop().select_related("bath", "plate", "entry__done_by")
    runs = ExpressionWrapper(Q(stopped_minutes=None), output_field=BooleanField())
    # one that has run since yesterday must not drop out of sight behind short ones that began later
    return bites.annotate(runs=runs).order_by("-runs", "-happened_at", "-pk")[:LATEST]


@section_of("costs")
def cost_of_a_plate(cents: Fraction, first: date, last: date, currency: str) -> dict[str, SafeString]:
    """Of the months from one to another, both included, by universal time as they are."""
    since, until = (datetime.combine(month, time(), UTC) for month in (first, months_after(last, 1)))
    plates = Bite.objects.standing().filter(happened_at__gte=since, happened_at__lt=until).plates()
    number = sum(plates.values())
    context: dict[str, object] = {"number": number, "currency": currency}
    if number:
        whole = costs.shared(cents, [cents * each / number for each in plates.values()])
        context["shares"] = list(zip(plates, plates.values(), whole, strict=True))
        context["each"] = cents / number
        context["figure"] = costs.per_plate(cents, number, currency)
    names = {"figures": "bites/_plate_figure.html", "below": "bites/_plate_cost.html"} if cents else {}
    return {place: render_to_string(name, context) for place, name in names.items()}
