"""The papers: a run card for a day without power or telephone, and the note that travels with plates."""

from django.shortcuts import get_object_or_404

from studio import papers
from studio.baths.models import Bath
from studio.bites import learned, lines
from studio.bites.models import Bite, Parcel

LINES_OF_A_CARD = 10


def run_card(request):
    """The boxes that are asked for on the page, ten times over."""
    context = {"numbers": range(1, LINES_OF_A_CARD + 1), "baths": list(Bath.objects.all())}
    return papers.answer(request, "bites/papers/run_card.html", context, title="Run card")


def parcel_note(request, parcel):
    """What is in the parcel, what was done to it, and what is to be done next."""
    parcels = Parcel.objects.standing().select_related("partner", "entry__done_by")
    shown = get_object_or_404(parcels, pk=parcel)
    plates = [travel.plate for travel in shown.travels.select_related("plate__owner").order_by("plate__name")]
    context = {
        "parcel": shown,
        "plates": [(plate, _last(plate, request.workshop.units)) for plate in plates],
        "baths": list(Bath.objects.all()),
    }
    return papers.answer(request, "bites/papers/parcel_note.html", context, title=f"Parcel note: {shown.partner}")


def _last(plate, units):
    """Its last preparation, its last weighing and its last bites, for whoever goes on with it."""
    rows = Bite.objects.ended().filter(plate=plate).select_related("bath", "entry__done_by").latest_first()[:3]
    return {
        "prepared": plate.preparations.standing().order_by("entry__happened_at", "pk").last(),
        "weighed": plate.weighings.standing().order_by("entry__happened_at", "pk").last(),
        "lines": lines.of(rows, units, learned.anode_efficiency()),
    }
