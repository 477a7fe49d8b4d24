"""What is written of drums: each page ends as one entry and goes on to the drum."""

from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.utils.translation import gettext as _

from studio.pages.views import EntryView
from studio.pages.writing import NextDeed
from studio.waste import content, findings, operations, whereabouts
from studio.waste.descriptions import DrumDescription
from studio.waste.forms.drums import (
    DepositForm,
    DrumForm,
    DrumWeighForm,
    EmptyWeightForm,
    InspectionForm,
    MoveForm,
    PourForm,
    TestForm,
)
from studio.waste.forms.findings import FindingsForm
from studio.waste.models import Drum


class DrumEntryView(EntryView):
    """One drum that is here, as it stands, and what the form asks of it."""

    queryset = whereabouts.with_record(Drum.objects.standing().select_related("entry", "place"))
    form_wants = "drum"

    def instead(self):
        # what was sent meets the refusal of the operation, beside what was typed
        if self.request.method == "GET" and (record := whereabouts.record_of(self.object)):
            return render(self.request, "waste/gone.html", {"drum": self.object, "record": record})

    @cached_property
    def content(self):
        return content.content_of_drum(self.object)

    def get_context_data(self):
        return super().get_context_data() | {"described": DrumDescription(self.content)}


class StartDrumView(EntryView):
    """With ?kind=rinse, as a page without a drum for it asks."""

    form_class = DrumForm
    operation = staticmethod(operations.start_drum)
    prefilled = ["kind"]

    def get_initial(self):
        # a drum mostly stands where the others do
        last = whereabouts.drums_on_site().order_by("-pk").first()
        return super().get_initial() | ({"place": last.place_id} if last else {})

    def next_deeds(self, entry):
        return [NextDeed(_("Print its label"), reverse("waste:label", args=[Drum.objects.get(entry=entry).pk]))]

    def go_on(self, entry):
        return redirect(Drum.objects.get(entry=entry))


class DepositView(DrumEntryView):
    form_class = DepositForm

    def write(self, **facts):
        return operations.deposit(**facts)  # the form names the drum


class MoveView(DrumEntryView):
    form_class = MoveForm
    operation = staticmethod(operations.move)

    def get_initial(self):
        return {"place": self.object.place_id}


class LookOverView(DrumEntryView):
    form_class = InspectionForm
    operation = staticmethod(operations.look_over)

    def get_form_kwargs(self):
        # by what is in it, as the bench asks: one oiled rag in another drum waits to be put out as well
        has_rags = self.object.stream.self_heats or bool(self.content.rags_since)
        return super().get_form_kwargs() | {"has_rags": has_rags}


class FindView(DrumEntryView):
    """With ?ask=drips&ask=process, as a flag that needs info asks."""

    form_class = FindingsForm
    operation = staticmethod(findings.find)

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"ask": self.request.GET.getlist("ask")}


pour_over = DrumEntryView.as_view(form_class=PourForm, operation=operations.pour_over)
look_over = LookOverView.as_view()
weigh = DrumEntryView.as_view(form_class=DrumWeighForm, operation=operations.weigh)
weigh_empty = DrumEntryView.as_view(form_class=EmptyWeightForm, operation=operations.weigh_empty)
test = DrumEntryView.as_view(form_class=TestForm, operation=operations.record_test)
