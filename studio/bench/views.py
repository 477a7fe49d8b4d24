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
from studio.workshop.models import Workshop

LATEST = 10


def bench(request):
    """The first page: how the baths stand, what to do, what needs a hand, what was written last."""
    workshop = request.workshop
    whole = kept.piece(
        "bench",
        mark(),
        kept.ten_minutes(),
        workshop.name,
        workshop.time_zone,
        workshop.units,
        make=lambda: _whole(workshop),
    )
    return render(request, "bench/bench.html", {"whole": whole})


def _whole(workshop: Workshop) -> str:
    """All of the bench that is the same for everybody."""
    baths, now = list(Bath.objects.select_related("place")), timezone.now()
    glances = glance.at(baths, workshop.units)
    told = [sayings.told(bite, now) for bite in running.in_baths(baths)]
    shown = {
        "workshop": workshop,
        "today": timezone.localtime(),
        "glances": glances,
        "shelf_is_empty": not Material.objects.exists(),
        "running": told,
        "needs": needs.of(glances, told, timezone.localdate()),
        "latest": Entry.objects.select_related("done_by", "struck_by").latest_first()[:LATEST],
    }
    return render_to_string("bench/_bench.html", shown)
