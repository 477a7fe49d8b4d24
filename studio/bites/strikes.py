"""What a strike must leave whole: a bite is its start, its readings and its stop; a plate comes before its bites."""

from django.db.models import Q, QuerySet

from inventory.models import Entry, EntryQuerySet
from inventory.refusals import Refused
from studio.baths.models import Bath
from studio.bites.models import Bite, Plate

MOST_NAMED = 3


def baths_of(entry: Entry) -> QuerySet[Bath]:
    """The baths in which bites ran that this entry speaks of."""
    of_it = Q(entry=entry) | Q(readings__entry=entry) | Q(stops__entry=entry)
    return Bath.objects.filter(pk__in=Bite.objects.filter(of_it).values("bath"))


def refuse_out_of_turn(entry: Entry) -> None:
    """
    Refuse to strike what later entries rest on, and name them. Call it with the baths of the entry locked.

    A stop holds the charge that the readings made of it, so it goes before them; they go before the start.
    """
    plates = list(Plate.objects.select_for_update(of=("self",)).filter(entry=entry).order_by("pk"))
    refuse_while(_resting(entry, plates))


def refuse_while(resting: EntryQuerySet) -> None:
    """Refuse while there are entries that would be left without what they speak of, and name the latest."""
    latest = list(resting.distinct().latest_first()[: MOST_NAMED + 1])
    if latest:
        named = "; ".join(f"“{each}”" for each in latest[:MOST_NAMED])
        more = " and others" if len(latest) > MOST_NAMED else ""
        raise Refused(
            "reason", f"Later lines rest on this one; strike them first, the latest before the others: {named}{more}."
        )


def _resting(entry: Entry, plates: list[Plate]) -> EntryQuerySet:
    """Standing entries that would be left without what they speak of."""
    on_plates = (
        Q(preparations__plate__in=plates)
        | Q(weighings__plate__in=plates)
        | Q(parcels__travels__plate__in=plates)
        | Q(bites__plate__in=plates)
    )
    on_bites = Q(bite_readings__bite__entry=entry) | Q(bite_stops__bite__entry=entry)
    on_readings = Q(bite_stops__bite__readings__entry=entry)
    rests = (on_plates | on_bites | on_readings) if plates else (on_bites | on_readings)
    return Entry.objects.standing().filter(rests).exclude(pk=entry.pk)
