"""Which entries touched a container or a bath that somebody names."""

from django.db.models import Exists, OuterRef, Q, QuerySet

from inventory.models import Container, Count, Entry, Move, Movement, Opening


def touching(name: str) -> Q:
    """Entries that touched the container of exactly this code or the bath of exactly this name; Q() if none is."""
    name = name.strip()
    found = Q()
    for pk in Container.objects.filter(code__iexact=name).values_list("pk", flat=True):
        for model in (Movement, Count, Move, Opening):
            # asked of each line that is looked at; of a jar used a million times a list would come first
            found |= Q(Exists(model.objects.filter(container=pk, entry=OuterRef("pk"))))
    for entries in _of_bath(name):
        found |= Q(Exists(entries.filter(pk=OuterRef("pk"))))
    return found


def _of_bath(name: str) -> list[QuerySet]:
    """What is in its log, what was answered to its readings, what was bitten in it."""
    paths = ("bath_events", "answers__reading", "bites", "bite_readings__bite", "hangings")
    return [Entry.objects.filter(**{f"{path}__bath__name__iexact": name}).order_by() for path in paths]
