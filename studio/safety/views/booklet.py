"""The booklet for the shelf: asked for; and every long paper: waited for, opened."""

from io import BytesIO

from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.drawing import qr
from studio.printing import papers, print_jobs
from studio.printing.job import PaperPart, page_of
from studio.safety import booklet as booklets
from studio.safety import wall
from studio.safety.views import folder
from studio.safety.views.room import said

TITLE = gettext_lazy("Safety booklet")
PAGES = {TITLE: "safety:booklet", folder.TITLE: "safety:folder"}  # where each long paper is asked for


def booklet(request):
    """What is in it; sent, it goes to the press, or to the one that is being printed already."""
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": str(TITLE), "reason": reason}, status=503)
    if request.method == "POST":
        # whoever taps twice, or second, waits for the same one: two at once would each take twice as long
        return redirect("safety:booklet_job", (print_jobs.underway(str(TITLE)) or _begin(request)).key)
    return render(request, "safety/booklet.html", {"job": print_jobs.underway(str(TITLE))})


def booklet_job(request, key):
    """How far it is: a page that asks again by itself, with JavaScript or without."""
    template = "safety/_booklet_job.html" if request.htmx else "safety/booklet_job.html"
    job = _found(key)
    # a list of chemicals is named after its day
    asked_for = reverse(PAGES.get(job.title, "safety:chemicals"))
    return render(request, template, {"job": job, "asked_for": asked_for})


def booklet_paper(request, key):
    job = _found(key)
    if not job.is_done:
        raise Http404
    name = f"{slugify(job.title)}-{timezone.localdate():%Y-%m-%d}.pdf"
    return FileResponse(BytesIO(job.paper), content_type="application/pdf", filename=name)


def _found(key):
    if job := print_jobs.find(key):
        return job
    raise Http404


def _begin(request):
    """The wall sheet and every summary as the part of a booklet, and before them the list of what is in it."""
    workshop, around = request.workshop, {"workshop": request.workshop, "printed_by": request.person}
    parts = [_part(_("Wall sheet"), "wall", said(workshop) | around)]
    parts += [
        _part(each.title, "summary", {"summary": each} | around) for each in booklets.summaries_of_everything(workshop)
    ]
    code = qr.svg(qr.address(request, reverse("safety:open")), title=_("Opens the summaries of what is here"))
    contents = [(part.title, page_of(number)) for number, part in enumerate(parts)]
    listed = {"contents": contents, "eyes": wall.sections()["eyes"], "code": code, "caution": qr.caution(request)}
    front = _part(str(TITLE), "booklet", listed | around)
    return print_jobs.begin(front, parts, page=workshop.paper)


def _part(title: str, template: str, context: dict) -> PaperPart:
    return PaperPart(title, papers.html(f"safety/papers/{template}.html", context, title=title))
