"""What people bring along to be kept with the book: a PDF to be read, and its digest."""

from typing import NamedTuple

from django import forms
from django.core.files import File
from django.http import FileResponse, Http404

from studio.pages.uploads import LARGEST_BYTES, shown_size


class Document(NamedTuple):
    """A file that was looked through; the arguments of a row that keeps it."""

    file: File | str = ""
    sha256: str = ""


class DocumentField(forms.FileField):
    """A plain PDF, or none."""

    def __init__(self, **kwargs):
        super().__init__(
            required=False,
            widget=forms.FileInput(attrs={"accept": "application/pdf,.pdf"}),
            help_text=f"As PDF, at most {shown_size(LARGEST_BYTES)}.",
            error_messages={"empty": "That file is empty."},
            **kwargs,
        )

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
