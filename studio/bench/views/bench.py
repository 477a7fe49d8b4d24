from functools import partial

from django.http import Http404
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.models import Entry, Material
from studio.bench import needs
from studio.bench.needs import GROUPS, Now
from studio.book.revision import book_revision
from studio.pages import fragment_cache
from studio.people.roles import KEYHOLDER, VIEWER

LATEST = 10
FIRST = "baths"


def bench(request):
    """The first page: how the baths stand, what to do, what needs a hand, what was written last."""
    now, role = Now(request.workshop), request.role
    keys = _keys(now)
    pieces = {slug: fragment_cache.fragment_or_none(slug, *keys) for slug in GROUPS}
    pieces[FIRST] = fragment_cache.cached_fragment(FIRST, *keys, make=partial(_group, FIRST, now))
    shown = {
        "top": fragment_cache.cached_fragment("bench", *keys, role, make=partial(_top, now, role)),
        "groups": [(slug, GROUPS[slug].name, piece) for slug, piece in pieces.items()],
        "latest": fragment_cache.cached_fragment("latest", *keys, make=_latest),
    }
    return render(request, "bench/bench.html", shown)


def group(request, slug: str):
    """What one part of the studio asks for: a piece of the bench, or a page of its own where no script fetches it."""
    if slug not in GROUPS:
        raise Http404
    now = Now(request.workshop)
    piece = fragment_cache.cached_fragment(slug, *_keys(now), make=partial(_group, slug, now))
    return render(request, "bench/_group.html" if request.htmx else "bench/group.html", {"piece": piece})


def _keys(now: Now) -> tuple:
    workshop = now.workshop
    return book_revision(), fragment_cache.ten_minutes(), workshop.name, workshop.time_zone, workshop.units


def _top(now: Now, role: str) -> str:
    """How the baths stand and what to do, as far as the role may do it."""
    shown = {
        "workshop": now.workshop,
        "today": timezone.localtime(now.at),
        "baths": now.baths,
        "running": now.running,
        "is_keyholder": role == KEYHOLDER,
        "is_viewer": role == VIEWER,
        "asks_for_lines": role == KEYHOLDER and now.workshop.asks_for_lines,
        "shelf_is_empty": not Material.objects.exists(),
    }
    return render_to_string("bench/_top.html", shown)


def _group(slug: str, now: Now) -> str:
    return render_to_string("bench/_asks.html", {"name": GROUPS[slug].name, "asks": needs.of(slug, now)})


def _latest() -> str:
    latest = Entry.objects.select_related("done_by", "struck_by").latest_first()[:LATEST]
    return render_to_string("bench/_latest.html", {"latest": latest})
