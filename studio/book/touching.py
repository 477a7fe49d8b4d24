"""Which entries speak of something that somebody names."""

from django.db.models import Exists, OuterRef, Q

from inventory.entries import every_line, model_at


def touching(name: str) -> Q:
    """Entries with a line about the container of exactly this code or the bath of exactly this name; Q() if none is."""
    # looked up by name once for all kinds of line: a bath leads to five of them
    found, named = Q(), {}
    for line in every_line():
        for way, _, field in (way.rpartition("__") for way in line.found_by):
            thing = model_at(line, way)
            if thing not in named:
                named[thing] = list(
                    thing.objects.filter(**{f"{field}__iexact": name.strip()}).values_list("pk", flat=True)
                )
            for pk in named[thing]:
                # asked of each entry that is looked at; of a jar used a million times a list would come first
                found |= Q(Exists(line.objects.filter(**{way: pk}, entry=OuterRef("pk"))))
    return found
