from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.models import Entry, Material
from studio import kept
from studio.baths import glance
from studio.baths.models import Bath
from studio.bench import needs
from studio.bites import running, sayings
from studio.book.mark import mark
from studio.cathodes import sayings as cathodes
from studio.workshop.models import Workshop

LATEST = 10


def bench(request):
    """The first page: how the baths stand, what to do, what needs a hand, what was written last."""
    workshop = request.workshop
    asks_for_lines = request.is_keyholder and workshop.asks_for_lines
    whole = kept.piece(
        "bench",
        mark(),
        kept.ten_minutes(),
        workshop.name,
        workshop.time_zone,
        workshop.units,
        asks_for_lines,
        make=lambda: _whole(workshop, asks_for_lines=asks_for_lines),
    )
    return render(request, "bench/bench.html", {"whole": whole})


def _whole(workshop: Workshop, *, asks_for_lines: bool) -> str:
    """All of the bench that is the same for everybody; a keyholder is asked whom to call."""
    baths, now = list(Bath.objects.select_related("place")), timezone.now()
    glances = glance.at(baths, workshop.units)
    told = [sayings.told(bite, now) for bite in running.in_baths(baths)]
    shown = {
        "workshop": workshop,
        "today": timezone.localtime(),
        "glances": glances,
        "asks_for_lines": asks_for_lines,
        "shelf_is_empty": not Material.objects.exists(),
        "running": told,
        "needs": needs.of(glances, told, cathodes.asks(workshop.units), timezone.localdate()),
        "latest": Entry.objects.select_related("done_by", "struck_by").latest_first()[:LATEST],
    }
    return render_to_string("bench/_bench.html", shown)
