"""Summaries: open without signing in, and printed."""

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string

from inventory.models import Container, Material
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.book.revision import book_revision
from studio.drawing import qr
from studio.hazards import classification
from studio.pages import fragment_cache
from studio.printing import papers
from studio.safety import chemical_list, summaries
from studio.safety import overview as overviews
from studio.safety.views.rooms import DayForm
from studio.waste.models import Drum

CONTAINERS = Container.objects.select_related("material", "place")
BATHS = Bath.objects.select_related("place")
DRUMS = Drum.objects.standing().select_related("place")


def overview(request):
    """Baths and materials by their most severe hazard, what needs info, which sheets are missing."""
    workshop = request.workshop
    key = (book_revision(), fragment_cache.ten_minutes(), workshop.region, workshop.units, request.is_keyholder)
    whole = fragment_cache.cached_fragment(
        "safety", *key, make=lambda: _overview(workshop, is_keyholder=request.is_keyholder)
    )
    return render(request, "safety/list.html", {"whole": whole})


def _overview(workshop, *, is_keyholder: bool) -> str:
    baths = list(BATHS.all())
    found = classification.classify_baths(status_of_baths(baths), workshop.region)
    shown = {
        "baths": [(bath, found[bath.pk]) for bath in baths],
        "groups": list(overviews.in_groups(overviews.rows(workshop)).items()),
        "is_keyholder": is_keyholder,
    }
    return render_to_string("safety/_list.html", shown)


@login_not_required
def open_material(request, pk):
    """For those who have signed in also as it was at the end of a past day."""
    form = DayForm(request.GET)
    day = form.cleaned_data["on"] if request.user.is_authenticated and form.is_valid() else None
    return _page(request, get_object_or_404(Material, pk=pk), day and chemical_list.end_of(day))


@login_not_required
def open_bath(request, pk):
    return _page(request, get_object_or_404(BATHS, pk=pk))


@login_not_required
def open_container(request, code):
    return _page(request, get_object_or_404(CONTAINERS, code=code))


@login_not_required
def open_drum(request, pk):
    return _page(request, get_object_or_404(DRUMS, pk=pk))


def material_paper(request, pk):
    return _paper(request, get_object_or_404(Material, pk=pk))


def bath_paper(request, pk):
    return _paper(request, get_object_or_404(BATHS, pk=pk))


def drum_paper(request, pk):
    return _paper(request, get_object_or_404(DRUMS, pk=pk))


def _page(request, thing, at=None):
    """The same for everybody, signed in or not."""
    workshop = request.workshop
    settings = (workshop.name, workshop.region, workshop.units, workshop.time_zone)
    key = (thing._meta.label_lower, thing.pk, at, book_revision(), fragment_cache.ten_minutes(), *settings)
    whole = fragment_cache.cached_fragment("summary", *key, make=lambda: _whole(thing, workshop, at))
    return render(request, "safety/summary.html", {"title": str(thing), "thing": thing, "whole": whole})


def _whole(thing, workshop, at) -> str:
    summary = summaries.summary_then(thing, workshop, at) if at else summaries.summary_of(thing, workshop)
    return render_to_string("safety/_summary.html", {"summary": summary, "workshop": workshop, "on_screen": True})


def _paper(request, thing):
    summary = summaries.summary_of(thing, request.workshop)
    code = qr.svg(qr.address(request, summary.path), title=f"Opens the summary of {summary.title}")
    context = {"summary": summary, "code": code, "caution": qr.caution(request)}
    return papers.answer(request, "safety/papers/summary.html", context, title=f"Safety summary: {thing}")
