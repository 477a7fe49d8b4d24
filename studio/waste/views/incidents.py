"""What went wrong: reported, read, followed up."""

from django.shortcuts import get_object_or_404, redirect, render

from chemistry.hazards.advice import ROOM
from inventory.models import Entry
from studio.book import paging
from studio.pages.views import EntryView
from studio.people import door
from studio.waste import incidents as operations
from studio.waste.forms.incidents import FollowUpForm, IncidentForm
from studio.waste.models import Incident

AT_ONCE = 50


def incidents(request):
    """All of them, the newest first; what is still open before the rest."""
    entries = Entry.objects.filter(incident__isnull=False).select_related("incident", "done_by", "struck_by")
    context = {
        "open": Incident.objects.still_open().select_related("entry__done_by").order_by("entry__happened_at", "pk"),
        "page": paging.page(entries, request.GET, size=AT_ONCE),
    }
    return render(request, "waste/incidents.html", context)


def incident(request, pk):
    """What happened, what it took, what was done since; who was hurt only to those whom it concerns."""
    one = get_object_or_404(Incident.objects.with_ending().select_related("entry__done_by", "entry__struck_by"), pk=pk)
    may_read_who = one.may_read_who(request.person, is_keyholder=request.is_keyholder)
    if may_read_who and one.is_about_somebody:
        door.read_private(request, f"who was hurt in incident {one.pk}")
    context = {
        "incident": one,
        "took": list(operations.took(one)),
        "follow_ups": one.follow_ups.select_related("entry__done_by", "entry__struck_by").order_by("pk"),
        "may_read_who": may_read_who,
    }
    return render(request, "waste/incident.html", context)


class ReportView(EntryView):
    """First aid, and below it four answers; with ?bath=2, as the page of a bath asks for it."""

    form_class = IncidentForm
    operation = staticmethod(operations.report)
    prefilled = ["bath"]

    def get_context_data(self):
        return super().get_context_data() | {"eyes": ROOM["eyes"]}

    def go_on(self, entry):
        return redirect(Incident.objects.get(entry=entry))


class FollowUpView(EntryView):
    form_class = FollowUpForm
    operation = staticmethod(operations.follow_up)
    queryset = Incident.objects.standing().with_ending().select_related("entry")

    def get_form_kwargs(self):
        return super().get_form_kwargs() | {"incident": self.object}
