"""Which plates hang in which bath now, and which did before them."""

from collections.abc import Iterable

from django.db.models import BooleanField, ExpressionWrapper, Q, QuerySet

from studio.baths.models import Bath
from studio.bites.models import Bite

LATEST = 6


def in_baths(baths: Iterable[Bath]) -> QuerySet[Bite]:
    """Bites that run in these baths, the earliest first."""
    running = Bite.objects.running().filter(bath__in=baths)
    return running.select_related("bath", "plate", "entry__done_by").order_by("happened_at", "pk")


def latest_in(bath: Bath) -> list[Bite]:
    """The bites of a bath that run, and its last ones that were stopped; in one query."""
    bites = Bite.objects.standing().filter(bath=bath).with_stop().select_related("bath", "plate", "entry__done_by")
    runs = ExpressionWrapper(Q(stopped_minutes=None), output_field=BooleanField())
    # one that has run since yesterday must not drop out of sight behind short ones that began later
    return list(bites.annotate(runs=runs).order_by("-runs", "-happened_at", "-pk")[:LATEST])
