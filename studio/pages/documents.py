"""What people bring along to be kept with the book: a PDF to be read or photographs; nothing larger is read."""

import hashlib
import subprocess
import uuid
from collections.abc import Sequence
from typing import NamedTuple

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files import File
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry.measured import plain

LARGEST_BYTES = 10_000_000  # a PDF
LARGEST_PHOTO_BYTES = 20_000_000
MOST_BYTES = 50_000_000  # of all that is sent at once
MOST_PAGES = 20
SCANNED_IN_S = 60
PHOTOS = "image/jpeg,image/png,image/heic,image/heif,.heic,.heif"
AROUND_IT = 100_000  # the other fields of a form and the lines between them


class TooLarge:
    """Middleware that answers what is larger than any file here by its announced length, before reading it."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) <= MOST_BYTES + AROUND_IT:
            return None
        return render(
            request, "413.html", {"sent": shown_size(int(length)), "most": shown_size(MOST_BYTES)}, status=413
        )


def shown_size(size: int) -> str:
    """
    >>> shown_size(2_147_483_648), shown_size(10_000_000)
    ('2.1 GB', '10 MB')
    """
    return (
        _("%(size)s GB") % {"size": plain(size / 1e9, 1)}
        if size >= 1e9
        else _("%(size)s MB") % {"size": plain(size / 1e6, 0)}
    )


def document_name(row, typed_name: str) -> str:
    """A name nobody chose: what was typed elsewhere may be anything."""
    return f"documents/{uuid.uuid4().hex}.pdf"


class Document(NamedTuple):
    """A file that was looked through; the arguments of a row that keeps it."""

    file: File | str = ""
    sha256: str = ""


def scanned(file: UploadedFile) -> None:
    """Ask the studio's own scanner, where it named one; what that could not look at is not kept either."""
    if not settings.SCANNER:
        return
    file.seek(0)
    try:
        # 0: nothing was found, 1: something was; as clamdscan(1) and its like answer
        ran = subprocess.run(
            settings.SCANNER, input=file.read(), capture_output=True, timeout=SCANNED_IN_S, check=False
        )
        answer = ran.returncode
    except (OSError, subprocess.TimeoutExpired):
        answer = None
    file.seek(0)
    if answer == 1:
        raise ValidationError(_("The studio’s scanner found something in %(name)s.") % {"name": file.name})
    if answer != 0:
        raise ValidationError(_("The studio’s scanner could not look at %(name)s.") % {"name": file.name})


class SeveralFiles(forms.FileInput):
    allow_multiple_selected = True


class FilesField(forms.FileField):
    """Files that become one thing; as a rule they may be left out."""

    widget: forms.Widget | type[forms.Widget] = SeveralFiles
    default_validators = [scanned]
    default_error_messages = {"empty": gettext_lazy("That file is empty.")}

    def __init__(self, **kwargs):
        super().__init__(**{"required": False} | kwargs)

    def clean(self, value, initial=None):
        files = [super(FilesField, self).clean(each, initial) for each in value or [None]]
        return self.made_of(list(filter(None, files)))

    def made_of(self, files: Sequence[UploadedFile]):
        raise NotImplementedError


class DocumentField(FilesField):
    """A plain PDF, or photographs of its pages, which become one."""

    widget = SeveralFiles(attrs={"accept": f"application/pdf,.pdf,{PHOTOS}"})

    def __init__(self, **kwargs):
        super().__init__(**{"help_text": gettext_lazy("A PDF, or photographs of its pages in their order.")} | kwargs)

    def made_of(self, files: Sequence[UploadedFile]) -> Document:
        from studio.printing import uploaded_pdf, uploaded_photo  # only who brings a document waits for the readers

        if not files:
            return Document()
        if not any(uploaded_photo.is_photo(beginning(each)) for each in files):
            if len(files) > 1:
                raise ValidationError(_("Bring one PDF, or photographs of its pages."))
            return Document(files[0], uploaded_pdf.check(files[0]))
        whole = uploaded_photo.as_pdf(photographs(files, longest_px=uploaded_photo.PAGE_PX))
        return Document(ContentFile(whole, "pages.pdf"), hashlib.sha256(whole).hexdigest())


class Picture(NamedTuple):
    """A photograph that was cleaned, and a small one of it."""

    file: File
    small: File
    width: int
    height: int


class PhotographsField(FilesField):
    """One photograph or several, each a picture of its own."""

    widget = SeveralFiles(attrs={"accept": PHOTOS})

    def made_of(self, files: Sequence[UploadedFile]) -> list[Picture]:
        from studio.printing import uploaded_photo  # only who brings a photograph waits for the reader

        return [
            Picture(
                ContentFile(uploaded_photo.as_jpeg(picture), "picture.jpg"),
                ContentFile(uploaded_photo.as_jpeg(uploaded_photo.small(picture)), "small.jpg"),
                *picture.size,
            )
            for picture in photographs(files, longest_px=uploaded_photo.PICTURE_PX)
        ]


def photographs(files: Sequence[UploadedFile], *, longest_px: int):
    """The pictures of photographs, cleaned, one after another; ValidationError that says which file is none."""
    from studio.printing import uploaded_photo

    if len(files) > MOST_PAGES:
        said = ngettext(
            "That is %(sent)s page; bring %(most)s at most at once.",
            "That is %(sent)s pages; bring %(most)s at most at once.",
            len(files),
        )
        raise ValidationError(said % {"sent": len(files), "most": MOST_PAGES})
    for file in files:
        if (file.size or 0) > LARGEST_PHOTO_BYTES:
            said = _("%(name)s has %(sent)s; a photograph may have %(most)s at most.")
            sizes = {"sent": shown_size(file.size or 0), "most": shown_size(LARGEST_PHOTO_BYTES)}
            raise ValidationError(said % {"name": file.name, **sizes})
        if not uploaded_photo.is_photo(beginning(file)):
            said = _("%(name)s is no photograph: bring JPEG, PNG or HEIC.")
            raise ValidationError(said % {"name": file.name})
        yield uploaded_photo.read(file, longest_px=longest_px)


def beginning(file: UploadedFile) -> bytes:
    file.seek(0)
    return file.read(16)


def show_picture(file: File) -> FileResponse:
    """Within a page of the book, and kept by the browser: a picture never changes under its name."""
    headers = {
        "Content-Security-Policy": "default-src 'none'; sandbox",
        "X-Content-Type-Options": "nosniff",
        "Cache-Control": "private, max-age=31536000, immutable",
    }
    return FileResponse(opened(file), content_type="image/jpeg", headers=headers)


def opened(file: File) -> File:
    try:
        return file.open()
    except FileNotFoundError as error:
        raise Http404(_("That file is gone.")) from error


def hand_over(file: File, name: str) -> FileResponse:
    """To be kept, never opened inside the book's own pages."""
    # a PDF can hold scripts: none may run under the address of the book
    headers = {"Content-Security-Policy": "default-src 'none'; sandbox", "X-Content-Type-Options": "nosniff"}
    return FileResponse(
        opened(file), as_attachment=True, filename=f"{name}.pdf", content_type="application/pdf", headers=headers
    )
