"""The papers: a run card for a day without power or telephone, and the note that travels with plates."""

from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from studio.baths.models import Bath
from studio.bites import calibration, lines, plates
from studio.bites.models import Bite, Parcel
from studio.printing import papers

# as many as the page has on which a filled card is typed in
LINES_OF_A_CARD = 10
BITES_OF_A_NOTE = 3


def run_card(request):
    context = {"numbers": range(1, LINES_OF_A_CARD + 1), "baths": list(Bath.objects.all())}
    return papers.answer(request, "bites/papers/run_card.html", context, title=_("Run card"))


def parcel_note(request, parcel):
    """What is in the parcel, what was done to it, and what is to be done next."""
    parcels = Parcel.objects.standing().select_related("partner", "entry__done_by")
    shown = get_object_or_404(parcels, pk=parcel)
    travels = shown.travels.select_related("plate__owner").order_by("plate__name")
    packed = [(travel.plate, last_of_plate(travel.plate, request.workshop.units)) for travel in travels]
    context = {"parcel": shown, "plates": packed}
    return papers.answer(
        request,
        "bites/papers/parcel_note.html",
        context,
        title=_("Parcel note: %(partner)s") % {"partner": shown.partner},
    )


def last_of_plate(plate, units):
    """Its last preparation, what it weighs and its last bites, each with its bath, for whoever goes on with it."""
    latest = Bite.objects.ended().filter(plate=plate).select_related("bath", "entry__done_by").latest_first()
    bites = list(latest[:BITES_OF_A_NOTE])
    strengths = calibration.strengths_at([bite.pk for bite in bites])
    told = lines.bite_lines(bites, units, calibration.anode_efficiency())
    return {
        "prepared": plate.preparations.standing().order_by("entry__happened_at", "pk").last(),
        "weighed": plate.weighings.standing().order_by("entry__happened_at", "pk").last(),
        "expected_g": plates.expected_mass_g(plate),
        "lines": [(line, strength_then(strengths.get(line.bite.pk), units)) for line in told],
    }


def strength_then(g_per_l, units):
    return units.strength(g_per_l) if g_per_l is not None else ""
