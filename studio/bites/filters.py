import django_filters as filters
from django import forms
from django.db.models import ExpressionWrapper, F, FloatField, Q
from django.utils.translation import gettext_lazy

from chemistry.copper.biting import COPPER_G_PER_AH
from chemistry.copper.efficiency import ANODE
from chemistry.copper.electrolysis import COPPER_G_PER_CM3
from inventory.models import Person, Place
from studio.baths.forms.base import read_in
from studio.bites.fields import DepthField
from studio.bites.models import Bite, Plate
from studio.shelf.filters import TickFilter

# what was weighed since changes it by a percent
UM_CM2_PER_AH = 1e4 * ANODE.share.value * COPPER_G_PER_AH / COPPER_G_PER_CM3


class DepthFilter(filters.Filter):
    field_class = DepthField


class BiteFilter(filters.FilterSet):
    text = filters.CharFilter(
        label=gettext_lazy("Plate or bath"),
        method="with_text",
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "placeholder": gettext_lazy("Plate or bath")}),
    )
    done_by = filters.ModelChoiceFilter(
        label=gettext_lazy("Bitten by"),
        field_name="entry__done_by",
        queryset=Person.objects.all(),
        empty_label=gettext_lazy("anybody"),
    )
    partner = filters.ModelChoiceFilter(
        label=gettext_lazy("Made with"),
        field_name="plate__partner",
        queryset=Place.objects.listed().filter(kind=Place.Kind.AWAY),
        empty_label=gettext_lazy("anybody"),
    )
    deeper = DepthFilter(label=gettext_lazy("Depth from"), method="with_depth_from")
    shallower = DepthFilter(label=gettext_lazy("to"), method="with_depth_to")

    class Meta:
        model = Bite
        fields = ["text", "done_by", "partner", "deeper", "shallower"]

    def __init__(self, *args, units, **kwargs):
        super().__init__(*args, **kwargs)
        read_in(self.form.fields.values(), units)

    def with_text(self, bites, name, text):
        return bites.filter(Q(plate__name__icontains=text) | Q(bath__name__icontains=text))

    def with_depth_from(self, bites, name, um):
        return with_depth(bites).filter(depth_um__gte=um)

    def with_depth_to(self, bites, name, um):
        return with_depth(bites).filter(depth_um__lte=um)


def with_depth(bites):
    # without area or charge it is NULL, which is within no bounds: such a bite is found by everything but its depth
    depth = UM_CM2_PER_AH * F("stopped_charge_ah") / F("exposed_cm2")
    return bites.annotate(depth_um=ExpressionWrapper(depth, output_field=FloatField()))


class PlateFilter(filters.FilterSet):
    text = filters.CharFilter(
        label=gettext_lazy("Name"),
        field_name="name",
        lookup_expr="icontains",
        widget=forms.TextInput(attrs={"type": "search", "placeholder": gettext_lazy("Part of its name")}),
    )
    owner = filters.ModelChoiceFilter(
        label=gettext_lazy("Whose"), queryset=Person.objects.all(), empty_label=gettext_lazy("anybody's")
    )
    away = TickFilter(label=gettext_lazy("Away"), field_name="is_away")

    class Meta:
        model = Plate
        fields = ["text", "owner", "away"]
