"""Reading the cathodes: all of them, one, and what came off them."""

from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from studio.book.revision import book_revision
from studio.cathodes import glance, recovered, standing
from studio.cathodes.models import Cathode
from studio.pages import fragment_cache, spreadsheet
from studio.pages.quantities import Units


def cathodes(request):
    """All cathodes that stand in the book."""
    return render(request, "cathodes/list.html", {"whole": _kept(request, "cathodes", make=_all)})


def cathode(request, pk):
    """What lies on a cathode, and how its weighings agreed with the current; a struck one leads to why it was."""
    one = get_object_or_404(Cathode.objects.select_related("entry"), pk=pk)
    if one.entry.is_struck:
        return redirect(one.entry)
    whole = _kept(request, "cathode", pk, make=lambda units: _whole(one, units))
    return render(request, "cathodes/cathode.html", {"cathode": one, "whole": whole})


def copper(request):
    """What came off the cathodes, year by year."""
    return render(request, "cathodes/recovered.html", {"years": recovered.years()})


def copper_csv(request):
    rows = recovered.rows(timezone.get_current_timezone())
    return spreadsheet.answer("Copper recovered", recovered.CSV_HEAD, rows)


def _kept(request, name: str, *depends_on, make) -> SafeString:
    """What is the same for everybody, kept for as long as the book and the ten minutes it speaks of stay the same."""
    workshop = request.workshop
    moment = (book_revision(), fragment_cache.ten_minutes(), workshop.units, workshop.time_zone)
    return fragment_cache.cached_fragment(name, *depends_on, *moment, make=lambda: make(workshop.units))


def _all(units: Units) -> str:
    years = recovered.years()
    shown = {"glances": glance.of(standing.all_of_them(), units), "year": years[0] if years else None}
    return render_to_string("cathodes/_list.html", shown)


def _whole(one: Cathode, units: Units) -> str:
    now = standing.at_moment(one)
    assert now  # a struck one has no page
    return render_to_string("cathodes/_cathode.html", {"cathode": one, "glance": glance.of([now], units)[0]})
