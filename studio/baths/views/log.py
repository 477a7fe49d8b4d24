"""Reading the baths: all of them, the page of one, its log."""

from typing import NamedTuple

from django.http import QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.facts import history as fact_history
from studio.baths import logbook
from studio.baths.descriptions import describe_baths
from studio.baths.forms.what_if import WhatIfForm
from studio.baths.models import Bath
from studio.baths.status import with_latest
from studio.drawing import qr
from studio.pages import spreadsheet
from studio.pages.sections import sections_of
from studio.pages.views import ReadView


class Errand(NamedTuple):
    """Something to do to a bath before it is said to which: what to ask, and each answer's page with its words."""

    question: str | Promise
    pages: dict[str, str | Promise]


ERRANDS = {
    "top_up": Errand(gettext_lazy("Top up which bath?"), {"top_up": "%(bath)s"}),
    "read": Errand(
        gettext_lazy("What did you read?"),
        {
            "read_level": gettext_lazy("%(bath)s, its level"),
            "read_hydrometer": gettext_lazy("%(bath)s, with a hydrometer"),
        },
    ),
    "cover": Errand(gettext_lazy("Whose lid went on or came off?"), {"cover": "%(bath)s"}),
}


class BathsView(ReadView):
    """All baths; with ?do=top_up and the like, the choice of the one that an errand is about; ?bath=2 is about one."""

    def instead(self):
        errand = ERRANDS.get(self.request.GET.get("do", ""))
        if errand is None:
            return None
        choices = [
            (words % {"bath": tank}, reverse(f"baths:{page}", args=[tank.pk]))
            for tank in Bath.objects.all()
            if str(tank.pk) == self.request.GET.get("bath", str(tank.pk))
            for page, words in errand.pages.items()
        ]
        # a studio with one tank is not asked which
        if len(choices) == 1:
            return redirect(choices[0][1])
        return render(self.request, "baths/choose.html", {"choices": choices, "question": errand.question})

    def get_part_data(self):
        baths = describe_baths(None, self.request.workshop.units)
        return {"baths": baths, "keyholder": self.request.is_keyholder}


class BathView(ReadView):
    """How a bath stands, what to do about it, how every figure was worked out, and its log."""

    queryset = with_latest(Bath.objects.select_related("place"))

    def get_part_data(self):
        bath, units = self.object, self.request.workshop.units
        return {
            "bath": bath,
            "described": describe_baths([bath], units)[0],
            "what_if": WhatIfForm(now=timezone.now(), units=units),
            "page": logbook.page(bath, units, QueryDict()),
            "sections": sections_of("bath", bath=bath, units=units),
            "fact_history": fact_history(bath),
            "keyholder": self.request.is_keyholder,
            "caution": qr.caution(self.request),
        }


def log(request, pk):
    """The log, a page at a time."""
    tank = get_object_or_404(Bath, pk=pk)
    page = logbook.page(tank, request.workshop.units, request.GET)
    return render(request, "baths/log.html", {"bath": tank, "page": page})


def log_csv(request, pk):
    tank = get_object_or_404(Bath, pk=pk)
    rows = logbook.rows(tank, timezone.get_current_timezone())
    return spreadsheet.answer(_("Log of %(tank)s") % {"tank": tank}, logbook.CSV_HEAD, rows)
