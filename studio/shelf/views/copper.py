"""Sheet copper: cut plates from it, and ask the scale whether it is what the book says."""

from django import forms
from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, render

from chemistry import units
from chemistry.copper import sheet
from inventory.models import Container, Place
from studio.pages.fields import NumberField, PlainForm, WholeNumberField, understood
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
from studio.shelf import operations

MM2_PER_CM2 = 100
PIECES = Container.objects.select_related("material", "place").filter(material__dimension="area")


class CutForm(SignedForm):
    plate = forms.CharField(
        label="Size of a plate", max_length=units.LONGEST_TEXT, help_text=f"Such as {units.SIDES_EXAMPLE}."
    )
    plates = WholeNumberField(label="How many", min_value=1, max_value=100, initial=1)
    offcut = forms.CharField(
        label="Offcut that is kept",
        required=False,
        max_length=units.LONGEST_TEXT,
        help_text="Its size, where it becomes a piece of its own; what else is left stays this sheet.",
    )
    place = forms.ModelChoiceField(Place.objects.all(), label="The offcut stands", empty_label=None)

    def clean_plate(self):
        typed = self.cleaned_data["plate"]
        # only judged here: the entry tells the size in the words in which it was typed
        understood(units.parse_sides, typed)
        return typed

    def clean_offcut(self):
        typed = self.cleaned_data["offcut"]
        return understood(units.parse, typed, "area") if typed else 0

    def facts(self):
        typed = super().facts()
        size = typed.pop("plate")
        return typed | {"size": size, "plate_mm2": units.parse(size, "area")}


class SheetWeighForm(PlainForm):
    weighed_g = NumberField(label="It weighs, g", low=0.1, high=1_000_000, unit="g")


class CutView(EntryView):
    form_class, template_name = CutForm, "shelf/about.html"
    queryset = PIECES
    words = {"heading": "Cut a plate from it", "submit": "Write down the cut"}

    def get_initial(self):
        return {"place": self.object.place_id}

    def write(self, *, plate_mm2, **facts):
        entry = operations.cut(self.object, plate_mm2=plate_mm2, **facts)
        if self.object.material.thickness_um:
            each = sheet.mass(area_cm2=plate_mm2 / MM2_PER_CM2, thickness_um=self.object.material.thickness_um)
            messages.info(self.request, f"A plate of that size should weigh {each.value:.0f} g; the scale can tell.")
        return entry


def weigh(request, code):
    """Nothing is written: the scale only confirms what the book has, or not."""
    container = get_object_or_404(PIECES.with_code(code))
    thickness_um = container.material.thickness_um
    if not (thickness_um and container.on_hand):
        raise Http404
    area_cm2 = container.on_hand / MM2_PER_CM2
    # asked by GET: nothing is written, and a reload asks again
    form = SheetWeighForm(request.GET or None)
    context = {"container": container, "form": form}
    if form.is_valid():
        context["agrees"], context["said"] = sheet.verdict(
            form.cleaned_data["weighed_g"], area_cm2=area_cm2, thickness_um=thickness_um
        )
    context["mass"] = sheet.mass(area_cm2=area_cm2, thickness_um=thickness_um)
    return render(request, "shelf/weigh.html", context)
