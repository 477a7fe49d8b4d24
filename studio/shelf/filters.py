from collections.abc import Iterable
from difflib import get_close_matches

import django_filters as filters
from django import forms
from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.asked_often import asked_often
from inventory.models import Material, Place

NEAR = 0.72  # so that one slip in a short word or two in a long one still finds it: ours, no source
SHORTEST = 3
MOST_NAMES = 5000


def categories() -> list[tuple[str, str]]:
    return [(category, _(category)) for category in categories_listed()]


@asked_often
def categories_listed() -> QuerySet[Material, str]:
    return Material.objects.listed().order_by("category").values_list("category", flat=True).distinct()


class TickFilter(filters.BooleanFilter):
    """Ticked, it leaves what is so; not ticked, it leaves everything."""

    def __init__(self, **kwargs):
        super().__init__(widget=forms.CheckboxInput, initial=False, **kwargs)

    def filter(self, rows, ticked):
        return super().filter(rows, ticked) if ticked else rows


class ShelfFilter(filters.FilterSet):
    """Filters the rows of `shelf_rows`."""

    text = filters.CharFilter(
        label=gettext_lazy("Name, code or batch"),
        method="with_text",
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "placeholder": gettext_lazy("Name or code")}),
    )
    category = filters.ChoiceFilter(label=gettext_lazy("Category"), choices=categories, empty_label=gettext_lazy("all"))
    place = filters.ModelChoiceFilter(
        label=gettext_lazy("Place"),
        field_name="standing__place",
        queryset=Place.objects.listed(),
        empty_label=gettext_lazy("all"),
    )
    low = TickFilter(label=gettext_lazy("Low"), field_name="is_low")
    past = TickFilter(label=gettext_lazy("Past use-by"), method="only_past")
    no_sheet = TickFilter(label=gettext_lazy("No safety sheet"), field_name="is_without_sheet")

    class Meta:
        model = Material
        fields = ["text", "category", "place", "low", "past", "no_sheet"]

    def with_text(self, rows, name, text):
        found = rows.filter(
            # a code in whole, or c1 would find c10 to c19 too
            Q(name__icontains=text) | Q(standing__code__iexact=text) | Q(standing__batch__icontains=text)
        )
        if found.exists():
            return found
        # only once nothing was found: comparing spellings costs far more than a look-up
        names = Material.objects.listed().values_list("pk", "name")[:MOST_NAMES]
        return rows.filter(pk__in=nearly(text, names))

    def only_past(self, rows, name, wanted):
        return rows.filter(standing__use_by_on__lt=timezone.localdate()) if wanted else rows


def nearly(typed: str, names: Iterable[tuple[int, str]]) -> list[int]:
    """
    The keys of names in which every typed word has one that is spelled nearly like it.

    >>> nearly("laquer thiner", [(1, "Lacquer thinner"), (2, "Low-odour mineral spirit")])
    [1]
    """
    # a word of two letters is nearly like half of the shelf
    wanted = [word for word in typed.casefold().split() if len(word) >= SHORTEST]
    if not wanted:
        return []
    words_of = ((key, [word.strip(",.()") for word in name.casefold().split()]) for key, name in names)
    return [key for key, words in words_of if all(get_close_matches(word, words, n=1, cutoff=NEAR) for word in wanted)]
