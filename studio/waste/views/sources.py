"""Where waste comes from: a bath, a cathode, a jar; each page writes both sides in one entry and goes on to that."""

import re

from inventory.models import Container
from studio.baths.views.writing import BathEntryView, MeasuringView
from studio.cathodes.views import CathodeEntryView
from studio.pages.views import EntryView
from studio.waste import sources
from studio.waste.flags import flags_of_jar
from studio.waste.forms.sources import DiscardForm, StrainIntoDrumForm, StripIntoDrumForm, TakeOutIntoDrumForm

A_NUMBER = re.compile(r"\d{1,6}(?:\.\d{1,6})?")


class TakeOutView(MeasuringView):
    """With ?litres=0.5, as the planner asks for it."""

    form_class = TakeOutIntoDrumForm
    operation = staticmethod(sources.take_out)

    def get_initial(self):
        asked = self.request.GET.get("litres", "")
        return {"litres": (float(asked) if A_NUMBER.fullmatch(asked) else None, "L")}


class DiscardView(EntryView):
    form_class = DiscardForm
    operation = staticmethod(sources.discard)
    queryset = Container.objects.select_related("material", "place")
    form_wants = "container"

    def get_context_data(self):
        flags = flags_of_jar(self.object.material, self.request.workshop)
        return super().get_context_data() | {"flags": flags}


strain = BathEntryView.as_view(form_class=StrainIntoDrumForm, operation=sources.strain)
strip = CathodeEntryView.as_view(form_class=StripIntoDrumForm, operation=sources.strip)
