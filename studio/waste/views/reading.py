"""Reading the drums: all of them, and one."""

from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from studio.book.revision import book_revision
from studio.drawing import qr
from studio.pages import fragment_cache
from studio.waste import content, glance, whereabouts
from studio.waste.models import Drum
from studio.waste.views import flags
from studio.workshop.models import Workshop

US = Workshop.Region.US  # where a label carries words of its own once the waste counts as hazardous


def drums(request):
    """The drums that are here."""
    whole = _kept(request, "drums", request.is_keyholder, make=lambda: _all(request.is_keyholder))
    return render(request, "waste/drums.html", {"whole": whole})


def drum(request, pk):
    """What is in a drum and what was done to it; a struck one leads to why it was."""
    one = get_object_or_404(Drum.objects.select_related("entry__done_by", "place"), pk=pk)
    if one.entry.is_struck:
        return redirect(one.entry)
    caution, workshop = qr.caution(request), request.workshop
    where = (workshop.region, workshop.us_state)
    keyholder = request.is_keyholder
    whole = _kept(
        request, "drum", pk, caution, keyholder, *where, make=lambda: _whole(one, caution, workshop, keyholder)
    )
    return render(request, "waste/drum.html", {"drum": one, "whole": whole})


def _kept(request, name: str, *depends_on, make) -> SafeString:
    """What is the same for everybody, kept as long as the book and the ten minutes it speaks of stay the same."""
    return fragment_cache.cached_fragment(
        name, *depends_on, book_revision(), fragment_cache.ten_minutes(), request.workshop.time_zone, make=make
    )


def _all(is_keyholder: bool) -> str:
    here = whereabouts.here().select_related("entry", "place")
    shown = {"glances": glance.of(content.contents_of_drums(here).values()), "is_keyholder": is_keyholder}
    return render_to_string("waste/_drums.html", shown)


def _whole(one: Drum, caution: str, workshop: Workshop, is_keyholder: bool) -> str:
    now, handed = content.content_of_drum(one), whereabouts.handed(one)
    shown = {"drum": one, "glance": glance.of([now])[0], "caution": caution, "is_us": workshop.region == US}
    refusals = one.refusals.standing().select_related("entry").order_by("entry__happened_at", "pk")
    became = {"record": handed and handed.disposal, "refusals": refusals, "is_keyholder": is_keyholder}
    page = render_to_string("waste/_drum.html", shown | became)
    return page if handed else page + flags.rendered(now, workshop)
