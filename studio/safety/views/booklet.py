"""The booklet for the shelf: asked for, waited for, opened."""

from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify

from studio import papers, pressroom, qr
from studio.safety import booklet as booklets
from studio.safety.views.room import said

TITLE = "Safety booklet"


def booklet(request):
    """What is in it; sent, it goes to the press, or to the one that is being printed already."""
    if reason := papers.available():
        return render(request, "no_papers.html", {"title": TITLE, "reason": reason}, status=503)
    if request.method == "POST":
        return redirect("safety:booklet_job", (pressroom.underway() or _begin(request)).key)
    return render(request, "safety/booklet.html", {"job": pressroom.underway()})


def booklet_job(request, key):
    """How far it is: a page that asks again by itself, with JavaScript or without."""
    template = "safety/_booklet_job.html" if request.htmx else "safety/booklet_job.html"
    return render(request, template, {"job": _found(key)})


def booklet_paper(request, key):
    job = _found(key)
    if not job.is_done:
        raise Http404
    name = f"{slugify(job.title)}-{timezone.localdate():%Y-%m-%d}.pdf"
    return FileResponse(job.paper.open("rb"), content_type="application/pdf", filename=name)


def _found(key):
    if job := pressroom.find(key):
        return job
    raise Http404


def _begin(request):
    workshop = request.workshop
    summaries = booklets.of_everything(workshop)
    code = qr.svg(qr.address(request, reverse("safety:open")), title="Opens the summaries of what is here")
    context = said(workshop) | {
        "summaries": summaries,
        "code": code,
        "caution": qr.caution(request),
        "printed_by": request.person,
    }
    html = papers.html("safety/papers/booklet.html", context, title=TITLE)
    return pressroom.begin(html, title=TITLE, page=workshop.paper, about=booklets.about_pages(summaries))
