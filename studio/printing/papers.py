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

from studio.printing import pango


def available() -> str | None:
    """Why nothing can be printed here, in one sentence with its remedy; None when papers can be printed."""
    # asked of the system, because a missing library would fail only in the middle of a paper
    if pango.is_here():
        return None
    return f"Papers need Pango, which lays out their text. This line brings it: {pango.command()}"


def html(template_name: str, context: dict, *, title: str) -> str:
    """A template ready for the press; `printed_by`, `workshop` and `source` in its context end up on every page."""
    return render_to_string(template_name, {"title": title, "printed_at": timezone.localtime(), **context})


def pdf(template_name: str, context: dict, *, title: str, page: str = "A4") -> bytes:
    """Print a template."""
    from studio.printing.pdf import print_alone  # half a second to import, so only whoever prints pays for it

    return print_alone(html(template_name, context, title=title), page=page)


def answer(request: HttpRequest, template_name: str, context: dict, *, title: str, page: str = "") -> HttpResponse:
    """The paper, opened in the browser under a name that can be found again; or why it cannot be printed."""
    if reason := available():
        return render(request, "no_papers.html", {"title": title, "reason": reason}, status=503)
    workshop = getattr(request, "workshop", None)
    printed = {"workshop": workshop, "printed_by": getattr(request, "person", None), **context}
    content = pdf(template_name, printed, title=title, page=page or getattr(workshop, "paper", "A4"))
    file_name = f"{slugify(title)}-{timezone.localdate():%Y-%m-%d}.pdf"
    disposition = content_disposition_header(as_attachment=False, filename=file_name)
    return HttpResponse(content, content_type="application/pdf", headers={"Content-Disposition": disposition})


def warm() -> None:
    """Load the press and its letters ahead of the first paper; a start calls this in a thread of its own."""
    if available() is None:
        pdf("print.html", {}, title="Warm")
