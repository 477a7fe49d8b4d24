"""The paper of a bath: the card for the wall beside it. The label on the vessel is printed by safety."""

from math import ceil

from django.shortcuts import get_object_or_404

from studio.baths import dipstick, drawings
from studio.baths.descriptions import describe_baths
from studio.baths.models import Bath
from studio.drawing import qr
from studio.printing import papers
from studio.workshop.models import Workshop

MOST_MARKS = 7


def card(request, pk):
    """One sheet that hangs beside the tank."""
    bath = _bath(pk)
    return _paper(request, bath, "baths/papers/card.html", f"Bath card: {bath}", {"marks": _marks(bath)})


def _marks(bath: Bath) -> list[list[tuple[float, float]]]:
    """The tank's own marks, thinned to fit the card, among them the one it is filled to: two columns of them."""
    if not bath.marks:
        return []
    filled = (dipstick.dipstick_of(bath).depth_cm(bath.fill_l), bath.fill_l)
    marks = sorted({*drawings.thinned([tuple(mark) for mark in bath.marks], MOST_MARKS), filled})
    half = ceil(len(marks) / 2)
    return [marks[row::half] for row in range(half)]


def _bath(pk: int) -> Bath:
    return get_object_or_404(Bath.objects.select_related("place"), pk=pk)


def _paper(request, bath: Bath, template: str, title: str, shown: dict):
    address = qr.address(request, bath.get_absolute_url())
    everywhere = {
        "bath": bath,
        "described": describe_baths([bath], request.workshop.units)[0],
        "caution": qr.caution(request),
        "code": qr.svg(address, title=f"Opens the page of {bath}"),
    }
    asked_for = request.GET.get("page", "")
    page = asked_for if asked_for in Workshop.Paper.values else ""
    return papers.answer(request, template, everywhere | shown, title=title, page=page)
