"""
One way to print: a template that extends `print.html`, its figures, and a PDF for the wall, the label or the insurer.

Every paper says when and by whom it was printed, from which data, and who decides.
"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.text import slugify
from django.utils.translation import gettext as _

from studio.printing import pango, press

TWICE = {"A4": "A3", "Letter": "Ledger"}
ENLARGED = 2**0.5  # in length, for twice the area


def available() -> str | None:
    """Why nothing can be printed here, in one sentence with its remedy; None when papers can be printed."""
    # asked of the system, because a missing library would fail only in the middle of a paper
    if pango.is_here():
        return None
    return _("Papers need Pango, which lays out their text. This line brings it: %(command)s") % {
        "command": pango.command()
    }


def html(template_name: str, context: dict, *, title: str) -> str:
    """A template ready for the press; `printed_by`, `workshop` and `source` in its context end up on every page."""
    return render_to_string(template_name, {"title": title, "printed_at": timezone.localtime(), **context})


def pdf(
    template_name: str, context: dict, *, title: str, page: str = "A4", larger: float = 1.0, rules: str = ""
) -> bytes:
    """Print a template, so many times larger than it was laid out, by rules of its own."""
    return press.print_alone(html(template_name, context, title=title), page=page, larger=larger, rules=rules)


def sizes(paper: str) -> list[str]:
    """A studio's paper, and the one of twice its area."""
    return [paper, TWICE[paper]]


def size_asked_for(request: HttpRequest) -> tuple[str, float]:
    """The page of `?page=`, and by how much what suits the studio's own paper is enlarged for it."""
    own = getattr(getattr(request, "workshop", None), "paper", "A4")
    asked = request.GET.get("page", "")
    return (asked, ENLARGED) if asked == TWICE[own] else (own, 1.0)


def signed(request: HttpRequest, context: dict) -> dict:
    """With whose paper it is and who printed it."""
    workshop, person = getattr(request, "workshop", None), getattr(request, "person", None)
    return {"workshop": workshop, "printed_by": person, **context}


def answer(
    request: HttpRequest,
    template_name: str,
    context: dict,
    *,
    title: str,
    page: str = "",
    larger: float = 1.0,
    rules: str = "",
) -> HttpResponse:
    """The paper, opened in the browser under a name that can be found again; or why it cannot be printed."""
    if reason := available():
        return render(request, "no_papers.html", {"title": title, "reason": reason}, status=503)
    page = page or getattr(getattr(request, "workshop", None), "paper", "A4")
    content = pdf(template_name, signed(request, context), title=title, page=page, larger=larger, rules=rules)
    file_name = f"{slugify(title)}-{timezone.localdate():%Y-%m-%d}.pdf"
    disposition = content_disposition_header(as_attachment=False, filename=file_name)
    return HttpResponse(content, content_type="application/pdf", headers={"Content-Disposition": disposition})
