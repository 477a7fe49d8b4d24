"""The wall sheet: open without signing in, and printed."""

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse

from studio.baths.models import Bath
from studio.book.revision import book_revision
from studio.drawing import qr
from studio.pages import fragment_cache
from studio.printing import papers
from studio.safety import wall


@login_not_required
def wall_sheet(request):
    workshop = request.workshop
    lines = (workshop.emergency_line, workshop.poison_line, workshop.keyholder_line)
    whole = fragment_cache.cached_fragment(
        "wall", book_revision(), *lines, workshop.units, make=lambda: _wall(workshop)
    )
    return render(request, "safety/wall.html", {"whole": whole})


def _wall(workshop) -> str:
    return render_to_string("safety/_wall.html", said(workshop) | {"on_screen": True})


def said(workshop) -> dict:
    """What the sheet says, on a page, as a paper and in the booklet."""
    baths = list(Bath.objects.select_related("place")[: wall.MOST_BATHS + 1])
    return {
        "sections": wall.sections(),
        "ranges": wall.ranges(baths[: wall.MOST_BATHS], workshop.units),
        "has_more_baths": len(baths) > wall.MOST_BATHS,
        "workshop": workshop,
    }


def wall_paper(request):
    code = qr.svg(qr.address(request, reverse("safety:open")), title="Opens the summaries of what is here")
    context = said(request.workshop) | {"code": code, "caution": qr.caution(request)}
    return papers.answer(request, "safety/papers/wall.html", context, title="Wall sheet")
