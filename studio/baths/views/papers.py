"""The papers of a bath: the card for the wall beside it and the label on the vessel."""

from django.shortcuts import get_object_or_404

from studio import papers, qr
from studio.baths import glance
from studio.baths.models import Bath


def card(request, pk):
    """One sheet that hangs beside the tank."""
    return _paper(request, pk, "baths/papers/card.html", "Bath card")


def vessel_label(request, pk):
    """What is in the vessel, on the vessel."""
    return _paper(request, pk, "baths/papers/vessel_label.html", "Vessel label")


def _paper(request, pk, template: str, name: str):
    bath = get_object_or_404(Bath.objects.select_related("place").prefetch_related("marks"), pk=pk)
    shown = {
        "bath": bath,
        "glance": glance.at([bath], request.workshop.units)[0],
        "code": qr.svg(qr.address(request, bath.get_absolute_url()), title=f"Opens the page of {bath}"),
    }
    page = request.GET.get("page", "")
    return papers.answer(request, template, shown, title=f"{name}: {bath}", page=page)
