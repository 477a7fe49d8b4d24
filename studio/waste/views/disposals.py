"""What left: handed over, corrected, refused, and the papers that came back."""

from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext as _

from inventory import seals
from studio.pages import documents
from studio.pages.views import EntryView, ReadView
from studio.pages.writing import NextDeed
from studio.printing import papers
from studio.waste import content, record, whereabouts
from studio.waste import disposals as operations
from studio.waste.forms.disposals import ALL, CorrectionForm, HandOverForm, PaperForm, RefusalForm
from studio.waste.models import Disposal, Drum, ReceiverPaper
from studio.waste.record import Record

AT_ONCE = 200


class DisposalsView(ReadView):
    """All records, the newest first; those whose receipt is awaited on top."""

    def get_part_data(self):
        records = record.records_of(Disposal.objects.order_by("-handed_over_at", "-pk")[:AT_ONCE])
        return {"records": records, "is_keyholder": self.request.is_keyholder}


class DisposalView(ReadView):
    """One record as it was written, what became of it, and whether the book still agrees."""

    def get_part_data(self):
        return {"record": record_or_404(self.kwargs["pk"]), "is_keyholder": self.request.is_keyholder}


def disposal_paper(request, pk):
    one = record_or_404(pk)
    context = {"record": one, "seal": seals.covering(one.disposal.entry)}
    return papers.answer(request, "waste/papers/disposal.html", context, title=f"{one.disposal}")


class HandOverView(EntryView):
    """With ?drum=3, as the page of a drum asks."""

    form_class, keyholder_only = HandOverForm, True
    operation = staticmethod(operations.hand_over)

    def get_form_kwargs(self):
        here = content.contents_here()
        return super().get_form_kwargs() | {"contents": list(here)}

    def get_initial(self):
        return {f"goes-{pk}": ALL for pk in self.request.GET.getlist("drum")}

    def next_deeds(self, entry):
        record = Disposal.objects.get(entry=entry)
        return [NextDeed(_("Print the record to sign"), reverse("waste:disposal_paper", args=[record.pk]))]

    def go_on(self, entry):
        return redirect(Disposal.objects.get(entry=entry))


class CorrectView(EntryView):
    form_class, keyholder_only = CorrectionForm, True

    def get_object(self):
        return record_or_404(self.kwargs["pk"])

    def get_form_kwargs(self):
        handed = [line.handed for line in self.object.lines if line.back is None]
        return super().get_form_kwargs() | {"wrong": self.object.disposal, "handed": handed}

    def get_context_data(self):
        return super().get_context_data() | {"record": self.object}

    def write(self, *, right, **facts):
        return operations.correct(self.object.disposal, right, **facts)

    def go_on(self, entry):
        return redirect(Disposal.objects.get(entry=entry))


class RefusedView(EntryView):
    """A drum that they did not take, or brought back."""

    form_class, keyholder_only = RefusalForm, True
    operation = staticmethod(operations.refuse)
    queryset = Drum.objects.standing()

    def get_context_data(self):
        return super().get_context_data() | {"left": whereabouts.departures([self.object]).get(self.object.pk, "")}


their_paper = EntryView.as_view(
    form_class=PaperForm,
    operation=operations.file_paper,
    queryset=Disposal.objects.all(),
    keyholder_only=True,
)


def scan(request, pk):
    paper = get_object_or_404(ReceiverPaper.objects.select_related("disposal"), pk=pk)
    if not paper.file:
        raise Http404(_("No scan came with it."))
    return documents.hand_over(paper.file, slugify(f"{paper.disposal} {paper.number or paper.pk}"))


def record_or_404(pk: int) -> Record:
    found = record.records_of(Disposal.objects.filter(pk=pk))
    if not found:
        raise Http404(_("There is no such record."))
    return found[0]
