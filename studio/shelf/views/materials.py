"""What comes to the shelf, what is new on its lists, and how much flammable liquid a place may hold."""

from django.contrib import messages
from django.db.models import Count, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.shortcuts import redirect, render
from django.urls import reverse, reverse_lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.quantity import quantity
from inventory.models import Container, Material, Place
from studio.hazards import co_storage
from studio.pages import errands
from studio.pages.fields import AmountField, with_quantities
from studio.pages.sections import sections_of
from studio.pages.views import EntryView
from studio.pages.writing import NextDeed, SignedForm
from studio.shelf import operations
from studio.shelf.forms.materials import MaterialForm, PlaceForm, ReceiveForm


class ReceiveView(EntryView):
    form_class = ReceiveForm
    queryset = Material.objects.all()
    form_wants = "material"

    def get_initial(self):
        last = self.object.containers.order_by("-pk").first()
        return {"place": last.place_id} if last else {}

    def get_context_data(self):
        standing = self.object.containers.on_the_shelf().select_related("place").oldest_open_first()
        return super().get_context_data() | {
            "standing": standing,
            "sections": sections_of("receive", material=self.object),
        }

    def write(self, **facts):
        entry = operations.receive(self.object, **facts)
        code = entry.movements.get().container.code
        messages.info(self.request, _("Write %(code)s on it: that is how it is found again.") % {"code": code})
        return entry

    def next_deeds(self, entry):
        code = entry.movements.get().container.code
        return [NextDeed(_("Print its sticker"), reverse("shelf:sticker", args=[code]))]


class NewMaterialView(EntryView):
    form_class, template_name = MaterialForm, "shelf/material_form.html"
    operation = staticmethod(operations.add_material)
    words = {"back": reverse_lazy("shelf:shelf")}

    def go_on(self, entry):
        # what is new on the list is as a rule in somebody's hands
        return redirect("shelf:receive", Material.objects.get(name__iexact=self.form.cleaned_data["name"]).pk)

    def back_to(self, form):
        # an errand for something to take leads on until some of it stands here
        return redirect(errands.with_back(self.go_on(None).url, form)) if "some" in self.request.GET else redirect(form)


class ChangeMaterialView(EntryView):
    form_class, template_name = MaterialForm, "shelf/material_form.html"
    queryset = Material.objects.all()
    form_wants = "material"

    def get_context_data(self):
        return super().get_context_data() | {"back": self.object.get_absolute_url()}

    def write(self, **facts):
        # the form has filled the material already
        return operations.change_material(**facts)


class NewPlaceView(EntryView):
    form_class, success_url = PlaceForm, "shelf:shelf"
    operation = staticmethod(operations.add_place)

    def get_context_data(self):
        return super().get_context_data() | {"places": Place.objects.listed()}


class LimitForm(SignedForm):
    flammables_limit_ul = AmountField(
        label=gettext_lazy("At most so much flammable liquid"),
        dimension="volume",
        required=False,
        help_text=with_quantities(
            gettext_lazy(
                "What your fire officer, insurer or local code says, such as %(volume)s; empty for the default."
            ),
            volume=(50, "L", 1),
        ),
    )


def all_places(request):
    words = request.GET.get("words", "").strip()
    here = Container.objects.on_the_shelf().filter(place=OuterRef("pk")).order_by().values("place")
    standing = Coalesce(Subquery(here.annotate(number=Count("pk")).values("number")), 0)
    places = Place.objects.listed().filter(name__icontains=words).annotate(standing=standing)
    return render(request, "shelf/places.html", {"places": places, "words": words})


class LimitView(EntryView):
    form_class = LimitForm
    operation = staticmethod(operations.limit_flammables)
    queryset = Place.objects.all()
    keyholder_only = True

    def get_initial(self):
        known = self.object.flammables_limit_ul
        return {"flammables_limit_ul": quantity(known / co_storage.UL_PER_L, "L") if known is not None else ""}

    def get_context_data(self):
        defaults = co_storage.default_limits(self.object, self.request.workshop.region)
        return super().get_context_data() | {"defaults": defaults}
