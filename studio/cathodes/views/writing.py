"""What is written of a cathode: each page ends as one entry and goes on to the cathode."""

from django.http import Http404
from django.shortcuts import redirect

from inventory.models import Material
from studio.baths.models import Bath
from studio.cathodes import operations, sheets
from studio.cathodes.descriptions import CathodeDescription
from studio.cathodes.forms import CathodeWeighForm, CopperForm, HangForm, HangNewForm, SheetForm, SheetOutForm
from studio.cathodes.models import Cathode
from studio.cathodes.status import status_of_cathode
from studio.pages.views import EntryView


class CathodeEntryView(EntryView):
    """One cathode, as it stands, and what the form asks of it."""

    queryset = Cathode.objects.standing().select_related("entry")
    form_wants = "cathode"

    def get_context_data(self):
        shown = CathodeDescription(status_of_cathode(self.object), self.request.workshop.units)
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


class CopperInView(EntryView):
    """How much copper is in a material of the shelf."""

    form_class, success_url = CopperForm, "waste:balance"
    operation = staticmethod(operations.say_copper)
    queryset = Material.objects.all()

    def instead(self):
        if not CopperForm.can_ask_about(self.object):
            raise Http404("No sheet copper is kept by volume.")

    form_wants = "material"

    def get_context_data(self):
        return super().get_context_data() | {"said": sheets.known_contents().get(self.object.pk)}


hang = CathodeEntryView.as_view(form_class=HangForm, operation=operations.hang)
take_out = CathodeEntryView.as_view(form_class=SheetOutForm, operation=operations.take_out)
weigh = CathodeEntryView.as_view(form_class=CathodeWeighForm, operation=operations.weigh)
