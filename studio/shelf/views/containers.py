"""What is done with one container, and with many at once; sheet copper is cut and weighed besides."""

from django import forms
from django.contrib import messages
from django.db.models import Prefetch
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import units
from chemistry.copper import sheet
from chemistry.quantity import quantity
from inventory.models import Container, Material, Place
from studio.pages.fields import AmountField, NumberField, PlainForm, WholeNumberField, understood
from studio.pages.views import EntryView
from studio.pages.writing import SignedForm
from studio.shelf import operations
from studio.shelf.forms.containers import (
    AwayForm,
    ConfirmForm,
    CountForm,
    CupForm,
    FinishForm,
    SplitForm,
    UseForm,
    UseSeveralForm,
)
from studio.shelf.forms.materials import MoveForm

AT_ONCE = 200
MM2_PER_CM2 = 100
PIECES = Container.objects.select_related("material", "place").filter(material__dimension="area")


class ContainerEntryView(EntryView):
    template_name = "shelf/about.html"
    queryset = Container.objects.select_related("material", "place")

    def get_initial(self):
        return {"place": self.object.place_id} if "place" in self.form_class.base_fields else {}


class UseSeveralView(EntryView):
    """One entry for a whole evening: a line for the container that each material is used from first."""

    form_class, success_url = UseSeveralForm, "shelf:shelf"
    operation = staticmethod(operations.use_several)

    def get_form_kwargs(self):
        at_hand = Container.objects.at_hand().select_related("place").oldest_open_first()
        materials = Material.objects.prefetch_related(Prefetch("containers", at_hand, to_attr="at_hand"))
        containers = [material.at_hand[0] for material in materials[:AT_ONCE] if material.at_hand]
        return super().get_form_kwargs() | {"containers": containers}


class SendAwayView(ContainerEntryView):
    form_class = AwayForm
    operation = staticmethod(operations.send_away)
    words = {"heading": gettext_lazy("Send it away"), "submit": gettext_lazy("It is on its way")}

    def instead(self):
        if not Place.objects.listed().filter(kind=Place.Kind.AWAY).exists():
            return redirect("shelf:new_place")


use = ContainerEntryView.as_view(
    form_class=UseForm,
    form_wants="container",
    operation=operations.use,
    words={"heading": gettext_lazy("Use some"), "submit": gettext_lazy("Write down the use")},
)
split = ContainerEntryView.as_view(
    form_class=SplitForm,
    form_wants="container",
    operation=operations.split,
    # of its two movements the one that came in is that of the new jar
    success_url=lambda entry: entry.movements.get(amount__gt=0).container,
    words={"heading": gettext_lazy("Put some into another container"), "submit": gettext_lazy("Write it down")},
)
count = ContainerEntryView.as_view(
    form_class=CountForm,
    form_wants="container",
    operation=operations.count,
    words={"heading": gettext_lazy("Count it"), "submit": gettext_lazy("Write down the count")},
)
confirm = ContainerEntryView.as_view(
    form_class=ConfirmForm,
    form_wants="container",
    operation=operations.confirm,
    words={"heading": gettext_lazy("They confirmed it"), "submit": gettext_lazy("Write it down")},
)
move = ContainerEntryView.as_view(
    form_class=MoveForm,
    operation=operations.move,
    words={"heading": gettext_lazy("Move it"), "submit": gettext_lazy("Write down the move")},
)
open_it = ContainerEntryView.as_view(
    operation=operations.open_it,
    words={"heading": gettext_lazy("Open it"), "submit": gettext_lazy("It is open")},
)
finish = ContainerEntryView.as_view(
    form_class=FinishForm,
    operation=operations.finish,
    words={"heading": gettext_lazy("Finish it"), "submit": gettext_lazy("Write off the rest")},
)
weigh_cup = ContainerEntryView.as_view(
    form_class=CupForm,
    operation=operations.weigh_cup,
    words={"heading": gettext_lazy("Weigh one cup once"), "submit": gettext_lazy("Write it down")},
)


class CutForm(SignedForm):
    plate = forms.CharField(
        label=gettext_lazy("Size of a plate"),
        max_length=units.LONGEST_TEXT,
        help_text=gettext_lazy("Such as %(SIDES_EXAMPLE)s.") % {"SIDES_EXAMPLE": units.SIDES_EXAMPLE},
    )
    plates = WholeNumberField(label=gettext_lazy("How many"), min_value=1, max_value=100, initial=1)
    offcut = AmountField(
        dimension="area",
        label=gettext_lazy("Offcut that is kept"),
        required=False,
        help_text=gettext_lazy("Its size, where it becomes a piece of its own; what else is left stays this sheet."),
    )
    place = forms.ModelChoiceField(Place.objects.listed(), label=gettext_lazy("The offcut stands"), empty_label=None)

    def clean_plate(self):
        typed = self.cleaned_data["plate"]
        # only judged here: the entry tells the size in the words in which it was typed
        understood(units.parse_sides, typed)
        return typed

    def facts(self):
        typed = super().facts()
        size = typed.pop("plate")
        return typed | {"size": size, "plate_mm2": units.parse(size, "area"), "offcut": typed["offcut"] or 0}


class SheetWeighForm(PlainForm):
    weighed_g = NumberField(label=gettext_lazy("It weighs"), low=0.1, high=1_000_000, unit="g")


class CutView(ContainerEntryView):
    form_class = CutForm
    queryset = PIECES
    words = {"heading": gettext_lazy("Cut a plate from it"), "submit": gettext_lazy("Write down the cut")}

    def write(self, *, plate_mm2, **facts):
        entry = operations.cut(self.object, plate_mm2=plate_mm2, **facts)
        if self.object.material.thickness_um:
            each = sheet.mass(area_cm2=plate_mm2 / MM2_PER_CM2, thickness_um=self.object.material.thickness_um)
            messages.info(
                self.request,
                _("A plate of that size should weigh %(value)s; the scale can tell.")
                % {"value": quantity(each.value, "g", decimals=0)},
            )
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
