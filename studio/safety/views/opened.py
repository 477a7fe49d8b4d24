"""What opens without signing in: the list of it, and what lets a browser keep it for when the network is gone."""

import json
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import NoReverseMatch, reverse
from django.utils.decorators import method_decorator
from django.views.decorators.cache import cache_control

from studio.hazards.models import SupplierClasses
from studio.pages.fragment_cache import cached_fragment
from studio.pages.views import ReadView
from studio.safety import public_pages


@method_decorator(login_not_required, name="dispatch")
class OpenIndexView(ReadView):
    """Every summary by name; a code typed from a label leads to its container's."""

    def instead(self):
        code = self.request.GET.get("code", "").strip()
        if not code:
            return None
        try:
            return redirect("safety:open_container", code)
        except NoReverseMatch:
            # no label bears such signs
            return redirect("safety:open")

    def get_part_data(self):
        workshop, words = self.request.workshop, self.request.GET.get("words", "").strip()
        said = SupplierClasses.latest_until()
        materials, drums = public_pages.materials(workshop, said), public_pages.drums(workshop)
        every = {"baths": public_pages.baths(workshop, said), "drums": drums, "materials": materials}
        found = {
            kind: [each for each in pages if words.casefold() in str(each.name).casefold()]
            for kind, pages in every.items()
        }
        return found | {"words": words, "is_cut": not words and len(materials) == public_pages.AT_ONCE}


@login_not_required
def kept_list(request):
    """The addresses that a browser keeps, and which material's page stands in for a jar's own."""

    def make() -> str:
        workshop = request.workshop
        summaries = [*public_pages.baths(workshop), *public_pages.drums(workshop), *public_pages.materials(workshop)]
        return json.dumps({"pages": list(public_pages.addresses(summaries)), "codes": public_pages.codes()})

    # every phone asks for it again and again, and it takes the classes of the whole shelf
    return HttpResponse(cached_fragment("open-kept", request, make=make), content_type="application/json")


@login_not_required
# a browser that kept an old script would go on showing what that one keeps
@cache_control(no_cache=True)
def worker(request):
    """The script that keeps them; it may answer for every page of the book, or first aid would lie outside."""
    script = Path(str(finders.find("offline_worker.js"))).read_bytes()
    headers = {"Service-Worker-Allowed": reverse("bench:bench")}
    return HttpResponse(script, content_type="text/javascript", headers=headers)
