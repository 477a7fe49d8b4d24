"""Whether bites are whole: stops against readings and the baths' log, and nothing left of what was struck."""

from collections.abc import Iterator
from math import isclose

from django.db.models import Prefetch
from django.utils.translation import gettext as _

from chemistry.measured import plain
from studio.baths.models import BathEvent
from studio.bites import operations
from studio.bites.models import Bite, BiteReading, BiteStop

AT_ONCE = 500


def integrity_errors() -> Iterator[str]:
    """Sentences about what is not sound; read in short steps, so that nobody waits long to write."""
    left = {"entry__struck_at": None}
    for reading in BiteReading.objects.filter(bite__entry__struck_at__isnull=False, **left).select_related("bite"):
        yield _("a reading stands of the %(bite)s, which was struck") % {"bite": reading.bite}
    for bite in Bite.objects.standing().filter(plate__entry__struck_at__isnull=False).select_related("bath", "plate"):
        yield _("the %(bite)s stands, its plate was struck") % {"bite": bite}
    last = 0
    # on from the last key: an offset would read all before it again, and skip a row when one of those is struck
    while stops := list(stops_with_readings().filter(pk__gt=last)[:AT_ONCE]):
        for stop in stops:
            yield from errors_of_stop(stop)
        last = stops[-1].pk


def stops_with_readings():
    readings = Prefetch("bite__readings", BiteReading.objects.standing().order_by("minutes", "pk"), to_attr="taken")
    events = Prefetch("entry__bath_events", BathEvent.objects.filter(kind=BathEvent.Kind.BITTEN), to_attr="bitten")
    joined = BiteStop.objects.standing().select_related("bite__entry", "bite__bath", "bite__plate")
    return joined.prefetch_related(readings, events).order_by("pk")


def errors_of_stop(stop: BiteStop) -> Iterator[str]:
    bite = stop.bite
    if bite.entry.is_struck:
        yield _("a stop stands of the %(bite)s, which was struck") % {"bite": bite}
        return
    charge = operations.charge_of(bite.taken, stop)  # type: ignore[attr-defined]  # of the prefetch
    worked_out = charge.value if charge else None
    if not is_same(stop.charge_ah, worked_out):
        yield _("the %(bite)s is kept with %(as_ah)s, its readings make %(as_ah_2)s") % {
            "bite": bite,
            "as_ah": as_ah(stop.charge_ah),
            "as_ah_2": as_ah(worked_out),
        }
    logged = next((event.charge_ah for event in stop.entry.bitten), None)  # type: ignore[attr-defined]  # likewise
    if not is_same(stop.charge_ah, logged):
        yield _("the %(bite)s is kept with %(as_ah)s, the log of %(bath)s has %(as_ah_2)s") % {
            "bite": bite,
            "as_ah": as_ah(stop.charge_ah),
            "bath": bite.bath,
            "as_ah_2": as_ah(logged),
        }


def is_same(one: float | None, other: float | None) -> bool:
    # the same readings added up in another order differ in their last digits
    return one == other if one is None or other is None else isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)


def as_ah(charge_ah: float | None) -> str:
    return _("no charge") if charge_ah is None else f"{plain(charge_ah, 3)} A·h"
