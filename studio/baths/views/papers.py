"""The paper of a bath: the card for the wall beside it. The label on the vessel is printed by safety."""

from math import ceil

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.translation import gettext as _

from chemistry.hazards.advice import ROOM
from studio.baths import dipstick, drawings
from studio.baths.descriptions import describe_baths
from studio.baths.models import Bath
from studio.drawing import qr
from studio.hazards.classification import classify_bath
from studio.printing import papers
from studio.workshop.models import Workshop

MOST_MARKS = 7


def card(request, pk):
    """One sheet that hangs beside the tank."""
    bath = get_object_or_404(Bath.objects.select_related("place"), pk=pk)
    marks = []
    if bath.marks:
        # thinned to fit the card, the one it is filled to always among them, in two columns
        filled = (dipstick.dipstick_of(bath).depth_cm(bath.fill_l), bath.fill_l)
        thinned = drawings.thinned([tuple(mark) for mark in bath.marks], MOST_MARKS)
        every = sorted({*thinned, filled})
        half = ceil(len(every) / 2)
        marks = [every[row::half] for row in range(half)]
    described = describe_baths([bath], request.workshop.units)[0]
    # the label's classes: a card hangs as long as a label does
    hazards = classify_bath(described.status, request.workshop.region).dried
    shown = {
        "bath": bath,
        "described": described,
        "burns": hazards.burns,
        "skin": hazards.skin_beside_eyes,
        "caution": qr.caution(request),
        # whoever stands beside it need not sign in
        "code": qr.svg(
            qr.address(request, reverse("safety:open_bath", args=[bath.pk])),
            title=_("Opens how %(bath)s stands") % {"bath": bath},
        ),
        "marks": marks,
        "rows": range(2 if described.holds_acid else 3),
        "eyes": ROOM["eyes"],
    }
    asked_for = request.GET.get("page", "")
    page = asked_for if asked_for in Workshop.Paper.values else ""
    return papers.answer(
        request,
        "baths/papers/card.html",
        shown,
        title=_("Bath card: %(bath)s") % {"bath": bath},
        page=page,
    )
