"""The plates: all of them, the page of one, and what is done to it."""

import django_tables2
from django.shortcuts import get_object_or_404

from studio.bites import exposure, history
from studio.bites import plates as operations
from studio.bites.fields import ExposedField
from studio.bites.filters import PlateFilter
from studio.bites.forms.plates import ParcelForm, PhotographForm, PlateForm, PlateWeighForm, PreparationForm
from studio.bites.models import Photograph, Plate
from studio.bites.tables import PlateTable
from studio.pages.documents import show_picture
from studio.pages.views import EntryView, ReadView

AT_ONCE = 25


class PlatesView(ReadView):
    def get_part_data(self):
        rows = Plate.objects.standing().with_last_parcel().with_last_bite().select_related("owner")
        asked = PlateFilter(self.request.GET, queryset=rows)
        # what could not be read finds nothing: all plates would look like the answer to it
        table = PlateTable(asked.qs if asked.is_valid() else rows.none())
        django_tables2.RequestConfig(self.request, paginate={"per_page": AT_ONCE}).configure(table)
        is_bare = not self.request.GET and not rows.exists()
        return {"table": table, "form": asked.form, "is_bare": is_bare, "request": self.request}


class PlateView(ReadView):
    queryset = Plate.objects.with_last_parcel().select_related("entry", "owner", "partner", "cut_from__material")

    def get_part_data(self):
        return {"plate": self.object, "history": history.History(self.object, self.request.workshop.units)}


class PlateEntryView(EntryView):
    queryset = Plate.objects.standing()


class PrepareView(PlateEntryView):
    form_class = PreparationForm
    operation = staticmethod(operations.prepare)
    form_wants = "plate"

    def get_initial(self):
        """As it was prepared last."""
        last = self.object.preparations.standing().order_by("entry__happened_at", "pk").last()
        if last is None:
            return {}
        as_before = {name: getattr(last, name) for name in ("state", "ground", "stop_out", "second_stop_out")}
        return as_before | {"exposed": ExposedField.shown(last.exposed)}

    def get_context_data(self):
        return super().get_context_data() | {"examples": exposure.examples()}


class PhotographView(PlateEntryView):
    form_class = PhotographForm
    operation = staticmethod(operations.photograph)

    def get_initial(self):
        return {"state": operations.state_of(self.object), "shows": self.request.GET.get("shows", "plate")}


def photograph(request, photo, size="file"):
    return show_picture(getattr(get_object_or_404(Photograph, pk=photo), size))


class ParcelView(EntryView):
    """Plates that leave or come back; one can be chosen already, by ?plate=."""

    form_class, success_url = ParcelForm, "bites:plates"
    away = False

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"away": self.away}

    def get_initial(self):
        return {"plates": self.request.GET.getlist("plate")}


new_plate = EntryView.as_view(
    form_class=PlateForm,
    operation=operations.take,
    success_url=lambda entry: entry.plates.get(),
)
weigh = PlateEntryView.as_view(form_class=PlateWeighForm, operation=operations.weigh)
send = ParcelView.as_view(operation=operations.send)
bring_back = ParcelView.as_view(operation=operations.bring_back, away=True)
