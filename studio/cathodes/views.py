"""The cathodes: all of them, one, what came off them, and what is written of one."""

from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from inventory.models import Material
from studio.baths.models import Bath
from studio.cathodes import operations, recovered, sheets
from studio.cathodes.descriptions import CathodeDescription, descriptions_of_cathodes
from studio.cathodes.forms import (
    CathodeForm,
    CathodeWeighForm,
    CopperForm,
    HangForm,
    HangNewForm,
    ReplaceForm,
    SheetForm,
)
from studio.cathodes.models import Cathode
from studio.cathodes.status import status_of_cathode, statuses_of_cathodes
from studio.pages import spreadsheet
from studio.pages.views import EntryView, ReadView


class CathodesView(ReadView):
    def get_part_data(self):
        years = recovered.years()
        described = descriptions_of_cathodes(statuses_of_cathodes(), self.request.workshop.units)
        return {"all_described": described, "year": years[0] if years else None}


class CathodeView(ReadView):
    """What lies on a cathode, and how its weighings agreed with the current; a struck one leads to why it was."""

    queryset = Cathode.objects.select_related("entry")

    def instead(self):
        if self.object.entry.is_struck:
            return redirect(self.object.entry)

    def get_part_data(self):
        status = status_of_cathode(self.object)
        return {"cathode": self.object, "described": descriptions_of_cathodes([status], self.request.workshop.units)[0]}


def copper(request):
    return render(request, "cathodes/recovered.html", {"years": recovered.years()})


def copper_csv(request):
    rows = recovered.rows(timezone.get_current_timezone())
    return spreadsheet.answer(_("Copper recovered"), recovered.CSV_HEAD, rows)


class CathodeEntryView(EntryView):
    queryset = Cathode.objects.standing().select_related("entry")
    form_wants = "cathode"

    @cached_property
    def status(self):
        return status_of_cathode(self.object)

    def get_context_data(self):
        shown = CathodeDescription(self.status, self.request.workshop.units)
        return super().get_context_data() | {"described": shown}


class HangNewView(EntryView):
    """With ?bath=2, as a bath without a cathode asks for it; a studio with one bath is not asked which."""

    form_class = HangNewForm
    operation = staticmethod(operations.hang_new)

    def get_initial(self):
        # two are enough to know that there is a choice
        found = list(Bath.objects.values_list("pk", flat=True)[:2])
        return {"bath": self.request.GET.get("bath") or (found[0] if len(found) == 1 else None)}

    def get_context_data(self):
        return super().get_context_data() | {"baths": Bath.objects.exists()}

    def go_on(self, entry):
        return redirect(Cathode.objects.standing().get(name=self.form.cleaned_data["name"]))


class MeasureView(CathodeEntryView):
    form_class = SheetForm
    operation = staticmethod(operations.measure)

    def get_initial(self):
        return SheetForm.figures_of(operations.sheet_of(self.object))


class ReplaceView(CathodeEntryView):
    """Offered with the figures of the sheet that hangs there: the next one is most often cut like it."""

    form_class = ReplaceForm
    operation = staticmethod(operations.replace)

    def instead(self):
        # what hangs nowhere has no place to give; a second tap finds it so, and goes on as the first did
        if self.request.method == "GET" and self.status.bath is None:
            return redirect("cathodes:hang", self.object.pk)

    def get_initial(self):
        return {**SheetForm.figures_of(self.status.sheet), "bare": None}

    def go_on(self, entry):
        return redirect(entry.hangings.exclude(bath=None).get().cathode)


class CopperInView(EntryView):
    form_class, success_url = CopperForm, "waste:balance"
    operation = staticmethod(operations.say_copper)
    queryset = Material.objects.all()

    def instead(self):
        if not CopperForm.can_ask_about(self.object):
            raise Http404(_("No sheet copper is kept by volume."))

    form_wants = "material"

    def get_context_data(self):
        return super().get_context_data() | {"said": sheets.known_contents([self.object]).get(self.object.pk)}


hang = CathodeEntryView.as_view(form_class=HangForm, operation=operations.hang)
take_out = CathodeEntryView.as_view(form_class=CathodeForm, operation=operations.take_out)
weigh = CathodeEntryView.as_view(form_class=CathodeWeighForm, operation=operations.weigh)
