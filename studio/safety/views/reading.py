"""Summaries: open without signing in, and printed."""

from typing import NamedTuple

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import get_object_or_404
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.decorators import method_decorator
from django.utils.functional import cached_property
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.models import Container, Material
from studio.baths.models import Bath
from studio.baths.status import status_of_baths, with_latest
from studio.drawing import qr
from studio.hazards import classification
from studio.hazards.models import SupplierClasses
from studio.pages.views import ReadView
from studio.printing import papers
from studio.safety import chemical_list, summaries
from studio.safety import overview as overviews
from studio.safety.glance import at_a_glance
from studio.safety.views.rooms import DayForm
from studio.waste.models import Drum

CONTAINERS = Container.objects.select_related("material", "place")
BATHS = Bath.objects.select_related("place")
DRUMS = Drum.objects.standing().select_related("place")


class OverviewView(ReadView):
    """Baths and materials by their most severe hazard, what needs info, which sheets are missing."""

    def get_part_data(self):
        workshop, words = self.request.workshop, self.request.GET.get("words", "").strip()
        statuses = status_of_baths(list(with_latest(BATHS.filter(name__icontains=words))))
        said = SupplierClasses.latest_until()
        rows = [row for row in overviews.rows(workshop, said) if words.casefold() in row.material.name.casefold()]
        found = classification.classify_baths(statuses, workshop.region, sheets=said)
        return {
            "baths": [(each.bath, found[each.bath.pk]) for each in statuses],
            "groups": list(overviews.in_groups(rows).items()),
            "is_keyholder": self.request.is_keyholder,
            "words": words,
        }


class Deed(NamedTuple):
    """Something that is likely done with what was scanned."""

    words: str
    icon: str
    url: str


DEEDS = {
    Container: [
        (gettext_lazy("Use"), "use", "shelf:use"),
        (gettext_lazy("Count"), "count", "shelf:count"),
        (gettext_lazy("Move"), "move", "shelf:move"),
    ],
    Material: [(gettext_lazy("Receive"), "move", "shelf:receive"), (gettext_lazy("Buy"), "out", "orders:material")],
    Bath: [(gettext_lazy("Top up"), "water", "baths:top_up"), (gettext_lazy("Read"), "read", "baths:read_level")],
    Drum: [(gettext_lazy("Put in"), "drum", "waste:deposit"), (gettext_lazy("Look over"), "count", "waste:look_over")],
}


@method_decorator(login_not_required, name="dispatch")
class SummaryView(ReadView):
    """The same for everybody, signed in or not."""

    template_name, part_name = "safety/summary.html", "safety/_summary.html"

    @cached_property
    def seen(self):
        return summaries.seen(self.object)

    def get_context_data(self):
        glance = self.kept("glance", self.glance) if self.request.user.is_authenticated else ""
        return {"thing": self.object, "glance": glance}

    def glance(self):
        """For whoever has signed in: what they ask first, and do next."""
        [key] = self.kwargs.values()
        shown = {
            "thing": self.object,
            "known": at_a_glance(self.seen, self.request.workshop.units),
            "deeds": [Deed(words, icon, reverse(page, args=[key])) for words, icon, page in DEEDS[self.queryset.model]],
            "is_viewer": self.request.is_viewer,
        }
        return render_to_string("safety/_glance.html", shown)

    def get_part_data(self):
        workshop = self.request.workshop
        return {"summary": self.get_summary(), "workshop": workshop, "on_screen": True}

    def get_summary(self):
        return summaries.summary_of(self.seen, self.request.workshop)


class MaterialSummaryView(SummaryView):
    """For those who have signed in also as it was at the end of a past day."""

    queryset = Material.objects.all()

    def get_summary(self):
        form = DayForm(self.request.GET)
        day = form.cleaned_data["on"] if self.request.user.is_authenticated and form.is_valid() else None
        if not day:
            return super().get_summary()
        return summaries.summary_then(self.object, self.request.workshop, chemical_list.end_of(day))


open_bath = SummaryView.as_view(queryset=BATHS)
open_container = SummaryView.as_view(queryset=CONTAINERS)
open_drum = SummaryView.as_view(queryset=DRUMS)


def material_paper(request, pk):
    return paper_of(request, get_object_or_404(Material, pk=pk))


def bath_paper(request, pk):
    return paper_of(request, get_object_or_404(BATHS, pk=pk))


def drum_paper(request, pk):
    return paper_of(request, get_object_or_404(DRUMS, pk=pk))


def paper_of(request, thing):
    summary = summaries.summary_of(thing, request.workshop)
    code = qr.svg(
        qr.address(request, summary.path), title=_("Opens the summary of %(title)s") % {"title": summary.title}
    )
    context = {"summary": summary, "code": code, "caution": qr.caution(request)}
    return papers.answer(
        request, "safety/papers/summary.html", context, title=_("Safety summary: %(thing)s") % {"thing": thing}
    )
