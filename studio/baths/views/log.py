"""Reading the baths: all of them, the page of one, its log."""

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from django.http import QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString

from studio.baths import logbook
from studio.baths.descriptions import describe_baths
from studio.baths.models import Bath
from studio.book.revision import book_revision
from studio.drawing import qr
from studio.pages import fragment_cache, spreadsheet
from studio.pages.quantities import Units


class Errand(NamedTuple):
    """Something to do to a bath before it is said to which: what to ask, and each answer's page with its words."""

    question: str
    pages: dict[str, str]


ERRANDS = {
    "top_up": Errand("Top up which bath?", {"top_up": ""}),
    "read": Errand("What did you read?", {"read_level": ", its level", "read_hydrometer": ", with a hydrometer"}),
    "cover": Errand("Whose lid went on or came off?", {"cover": ""}),
}


def baths(request):
    """All baths; with ?do=top_up and the like, the choice of the one that an errand is about."""
    errand = ERRANDS.get(request.GET.get("do", ""))
    if errand is None:
        return render(request, "baths/list.html", {"whole": _kept_all(request)})
    choices = [
        (f"{tank}{words}", reverse(f"baths:{page}", args=[tank.pk]))
        for tank in Bath.objects.all()
        for page, words in errand.pages.items()
    ]
    if len(choices) == 1:
        return redirect(choices[0][1])
    return render(request, "baths/choose.html", {"choices": choices, "question": errand.question})


def bath(request, pk):
    """How a bath stands, what to do about it, how every figure was worked out, and its log."""
    tank = get_object_or_404(Bath.objects.select_related("place"), pk=pk)
    seen = {"keyholder": request.is_keyholder, "caution": qr.caution(request)}
    whole = _kept(request, "bath", pk, tank.revision, *seen.values(), make=partial(_whole, tank, seen))
    return render(request, "baths/bath.html", {"bath": tank, "whole": whole})


def log(request, pk):
    """The log, a page at a time."""
    tank = get_object_or_404(Bath, pk=pk)
    page = logbook.page(tank, request.workshop.units, request.GET)
    return render(request, "baths/log.html", {"bath": tank, "page": page})


def log_csv(request, pk):
    tank = get_object_or_404(Bath, pk=pk)
    rows = logbook.rows(tank, timezone.get_current_timezone())
    return spreadsheet.answer(f"Log of {tank}", logbook.CSV_HEAD, rows)


def _kept(request, name: str, *depends_on, make: Callable[[Units], str]) -> SafeString:
    """What is the same for everybody of a role, kept for as long as it and the moment it speaks of stay the same."""
    workshop = request.workshop
    moment = (fragment_cache.ten_minutes(), workshop.units, workshop.time_zone)
    return fragment_cache.cached_fragment(name, *depends_on, *moment, make=lambda: make(workshop.units))


def _kept_all(request) -> SafeString:
    return _kept(request, "baths", book_revision(), request.is_keyholder, make=partial(_all, request.is_keyholder))


def _all(keyholder: bool, units: Units) -> str:
    every = list(Bath.objects.select_related("place"))
    return render_to_string("baths/_list.html", {"baths": describe_baths(every, units), "keyholder": keyholder})


def _whole(tank: Bath, seen: dict, units: Units) -> str:
    """seen: whether by a keyholder, and what to say of printed codes."""
    shown = seen | {
        "described": describe_baths([tank], units)[0],
        "bath": tank,
        "page": logbook.page(tank, units, QueryDict()),
    }
    return render_to_string("baths/_bath.html", shown)
