"""What people bring along to be kept with the book: a PDF to be read, and its digest; nothing larger is read."""

from typing import NamedTuple

from django import forms
from django.core.files import File
from django.http import FileResponse, Http404
from django.shortcuts import render

LARGEST_BYTES = 10_000_000
AROUND_IT = 100_000  # the other fields of a form and the lines between them


class TooLarge:
    """Middleware that answers what is larger than any file here by its announced length, before reading it."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) <= LARGEST_BYTES + AROUND_IT:
            return None
        return render(
            request, "413.html", {"sent": shown_size(int(length)), "most": shown_size(LARGEST_BYTES)}, status=413
        )


def shown_size(size: int) -> str:
    """
    >>> shown_size(2_147_483_648), shown_size(10_000_000)
    ('2.1 GB', '10 MB')
    """
    return f"{size / 1e9:.1f} GB" if size >= 1e9 else f"{size / 1e6:.0f} MB"


class Document(NamedTuple):
    """A file that was looked through; the arguments of a row that keeps it."""

    file: File | str = ""
    sha256: str = ""


class DocumentField(forms.FileField):
    """A plain PDF; as a rule it may be left out."""

    widget = forms.FileInput(attrs={"accept": "application/pdf,.pdf"})
    default_error_messages = {"empty": "That file is empty."}

    def __init__(self, **kwargs):
        usual = {"required": False, "help_text": f"As PDF, at most {shown_size(LARGEST_BYTES)}."}
        super().__init__(**usual | kwargs)

    def clean(self, value, initial=None) -> Document:
        from studio.printing import uploaded_pdf  # only who brings a document waits for the reader

        file = super().clean(value, initial)
        return Document(file, uploaded_pdf.check(file)) if file else Document()


def hand_over(file: File, name: str) -> FileResponse:
    """To be kept, never opened inside the book's own pages."""
    try:
        opened = file.open()
    except FileNotFoundError as error:
        raise Http404("That file is gone.") from error
    # a PDF can hold scripts: none may run under the address of the book
    headers = {"Content-Security-Policy": "default-src 'none'; sandbox", "X-Content-Type-Options": "nosniff"}
    return FileResponse(
        opened, as_attachment=True, filename=f"{name}.pdf", content_type="application/pdf", headers=headers
    )
