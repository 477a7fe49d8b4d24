import django_filters as filters
from django import forms
from django.db import connection
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy

from inventory.entries import every_line, model_at
from inventory.models import Entry, EntryKind, Person

# One step of the index from each kind to the next: a DISTINCT would walk through the whole book.
EVERY_KIND = """
    WITH RECURSIVE found(kind) AS (
        SELECT MIN(kind) FROM inventory_entry
        UNION ALL
        SELECT (SELECT MIN(kind) FROM inventory_entry WHERE kind > found.kind) FROM found WHERE found.kind IS NOT NULL
    )
    SELECT kind FROM found WHERE kind IS NOT NULL
"""


def kinds_written() -> list[tuple[str, str]]:
    """The kinds of entries that this book has, as choices."""
    with connection.cursor() as cursor:
        cursor.execute(EVERY_KIND)
        return [(kind, EntryKind.known(kind).words) for (kind,) in cursor.fetchall()]


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


class BookFilter(filters.FilterSet):
    text = filters.CharFilter(
        label=gettext_lazy("Bath, container or words"),
        method="with_text",
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "placeholder": gettext_lazy("Bath, container or words")}),
    )
    kind = filters.ChoiceFilter(
        label=gettext_lazy("What was done"), choices=kinds_written, empty_label=gettext_lazy("anything")
    )
    done_by = filters.ModelChoiceFilter(
        label=gettext_lazy("Done by"), queryset=Person.objects.all(), empty_label=gettext_lazy("anybody")
    )

    class Meta:
        model = Entry
        fields = ["text", "kind", "done_by"]

    def with_text(self, entries, name, text):
        return entries.filter(Q(subject__icontains=text) | Q(note__icontains=text) | touching(text))
