"""The inspector's folder: what is missing, said first, and the whole of it from the press."""

from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils.translation import gettext_lazy

from chemistry.hazards.regimes import left_out, regime_of
from inventory import seals
from inventory.models import Seal
from studio.pages.fragment_cache import cached_fragment
from studio.people.inductions import Task
from studio.printing import papers, print_jobs
from studio.printing.job import PaperPart, page_of
from studio.safety.folder import Folder

TITLE = gettext_lazy("Inspector’s folder")
PARTS = {
    "materials": gettext_lazy("Materials and baths, by place"),
    "sheets": gettext_lazy("Safety sheets of suppliers"),
    "inductions": gettext_lazy("Inductions"),
    "incidents": gettext_lazy("Incidents of three years"),
    "waste": gettext_lazy("Waste, here and gone"),
    "told": gettext_lazy("What we were told here"),
}


def folder(request):
    """What is missing; sent, the folder goes to the press, or to the one that is being printed already."""
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": str(TITLE), "reason": reason}, status=503)
    if request.method == "POST":
        return redirect("safety:booklet_job", (print_jobs.underway(str(TITLE)) or _begin(request)).key)

    def gaps() -> str:
        return render_to_string("safety/_gaps.html", {"gaps": Folder(request.workshop).gaps})

    context = {"job": print_jobs.underway(str(TITLE)), "gaps": cached_fragment("gaps", request, make=gaps)}
    return render(request, "safety/folder.html", context)


def _begin(request):
    workshop = request.workshop
    seals.seal()
    context = {
        "seal": Seal.objects.defer("marks").last(),
        "folder": Folder(workshop),
        "workshop": workshop,
        "printed_by": request.person,
        "tasks": Task,
        "left_out": left_out(regime_of(workshop.region)),
    }
    complete = context["folder"].complete_since()
    parts = [_part(title, name, context | {"complete": complete[name]}) for name, title in PARTS.items()]
    contents = [(part.title, page_of(number)) for number, part in enumerate(parts)]
    front = _part(str(TITLE), "front", context | {"contents": contents})
    return print_jobs.begin(front, parts, page=workshop.paper)


def _part(title: str, name: str, context: dict) -> PaperPart:
    return PaperPart(title, papers.html(f"safety/papers/folder/{name}.html", context, title=title))
