"""The first page, and each part of it that is fetched by itself."""

from django.http import Http404
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from inventory.models import Entry, Material
from studio.bench import needs
from studio.bench.needs import GROUPS, Now
from studio.pages.fragment_cache import Dependency, cached_fragment, fragment_key, fragment_or_none

LATEST = 10
FIRST = "baths"
# the same wherever it is shown and to whomever
ALIKE = {"regardless_of": (Dependency.ADDRESS, Dependency.ROLE)}


def bench(request):
    """How the baths stand, what to do, what needs a hand, what was written last."""
    now = Now(request.workshop)

    def top() -> str:
        """How the baths stand and what to do, as far as the role may do it."""
        shown = {
            "workshop": now.workshop,
            "today": timezone.localtime(now.at),
            "baths": now.baths,
            "running": now.running,
            "is_keyholder": request.is_keyholder,
            "is_viewer": request.is_viewer,
            "asks_for_lines": request.is_keyholder and now.workshop.asks_for_lines,
            "shelf_is_empty": not Material.objects.exists(),
        }
        return render_to_string("bench/_top.html", shown)

    def latest() -> str:
        entries = Entry.objects.select_related("done_by", "struck_by").latest_first()[:LATEST]
        return render_to_string("bench/_latest.html", {"latest": entries})

    pieces = {slug: fragment_or_none(fragment_key(slug, request, **ALIKE)) for slug in GROUPS}
    # this one is always there: a bite whose time is up must not wait until it is fetched
    pieces[FIRST] = group_fragment(request, FIRST, now)
    shown = {
        "top": cached_fragment("bench", request, make=top),
        "groups": [(slug, GROUPS[slug].name, piece) for slug, piece in pieces.items()],
        "latest": cached_fragment("latest", request, **ALIKE, make=latest),
    }
    return render(request, "bench/bench.html", shown)


def group(request, slug: str):
    """What one part of the studio asks for: a piece of the bench, or a page of its own where no script fetches it."""
    if slug not in GROUPS:
        raise Http404
    piece = group_fragment(request, slug, Now(request.workshop))
    return render(request, "bench/_group.html" if request.htmx else "bench/group.html", {"piece": piece})


def group_fragment(request, slug: str, now: Now) -> SafeString:
    def make() -> str:
        return render_to_string("bench/_asks.html", {"name": GROUPS[slug].name, "asks": needs.action_items(slug, now)})

    return cached_fragment(slug, request, **ALIKE, make=make)
