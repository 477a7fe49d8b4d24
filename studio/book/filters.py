import django_filters as filters
from django import forms
from django.db.models import Q

from inventory.models import Entry, Person
from studio.book.kinds import kinds
from studio.book.touching import touching


class BookFilter(filters.FilterSet):
    text = filters.CharFilter(
        label="Bath, container or words",
        method="with_text",
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    kind = filters.ChoiceFilter(label="What was done", choices=kinds, empty_label="anything")
    done_by = filters.ModelChoiceFilter(label="Done by", queryset=Person.objects.all(), empty_label="anybody")

    class Meta:
        model = Entry
        fields = ["text", "kind", "done_by"]

    def with_text(self, entries, name, text):
        return entries.filter(Q(subject__icontains=text) | Q(note__icontains=text) | touching(text))
