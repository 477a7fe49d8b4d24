"""What opens without signing in: the list of it, and what lets a browser keep it for when the network is gone."""

import json
from functools import partial
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse
from django.views.decorators.cache import cache_control

from studio.book.revision import book_revision
from studio.pages import fragment_cache
from studio.safety import public_pages
from studio.workshop.models import Workshop


@login_not_required
def index(request):
    """Every summary by name; a code typed from a label leads to its container's."""
    if code := request.GET.get("code", "").strip():
        return _to_the_container(code)
    return render(request, "safety/open.html", {"whole": _piece("open", request.workshop, _index)})


@login_not_required
def kept_list(request):
    """The addresses that a browser keeps, and which material's page stands in for a jar's own."""
    return HttpResponse(_piece("open-kept", request.workshop, _list), content_type="application/json")


@login_not_required
@cache_control(no_cache=True)
def worker(request):
    """The script that keeps them; it may answer for every page of the book, or first aid would lie outside."""
    script = Path(str(finders.find("offline_worker.js"))).read_bytes()
    headers = {"Service-Worker-Allowed": reverse("bench:bench")}
    return HttpResponse(script, content_type="text/javascript", headers=headers)


def _to_the_container(code: str):
    try:
        return redirect("safety:open_container", code)
    except NoReverseMatch:  # no label bears such signs
        return redirect("safety:open")


def _piece(name: str, workshop: Workshop, make) -> str:
    key = (book_revision(), fragment_cache.ten_minutes(), workshop.region)
    return fragment_cache.cached_fragment(name, *key, make=partial(make, workshop))


def _index(workshop: Workshop) -> str:
    materials = public_pages.materials(workshop)
    shown = {
        "baths": public_pages.baths(workshop),
        "drums": public_pages.drums(workshop),
        "materials": materials,
        "is_cut": len(materials) == public_pages.AT_ONCE,
    }
    return render_to_string("safety/_open.html", shown)


def _list(workshop: Workshop) -> str:
    summaries = [*public_pages.baths(workshop), *public_pages.drums(workshop), *public_pages.materials(workshop)]
    return json.dumps({"pages": list(public_pages.addresses(summaries)), "codes": public_pages.codes()})
