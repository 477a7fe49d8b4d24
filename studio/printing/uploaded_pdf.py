"""
A safety sheet is a PDF to be read and nothing else, judged by what is in it.

Import this module late: it takes a tenth of a second.
"""

import hashlib
from collections.abc import Iterator

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, NameObject, PdfObject

from studio.pages.documents import LARGEST_BYTES, shown_size

MOST_OBJECTS = 50_000
# a sheet is to be read; whatever acts when it is opened, or hides another file, stays outside
ACTS = {
    "/JavaScript": "a script",
    "/JS": "a script",
    "/OpenAction": gettext_lazy("something that happens when it is opened"),
    "/Launch": gettext_lazy("a command to start a program"),
    "/EmbeddedFile": gettext_lazy("another file"),
    "/EmbeddedFiles": gettext_lazy("another file"),
    "/XFA": gettext_lazy("a form that runs"),
    "/AA": gettext_lazy("something that happens while it is read"),
    "/SubmitForm": gettext_lazy("a form that sends what is typed away"),
    "/ImportData": gettext_lazy("a form that fetches something"),
    "/GoToE": gettext_lazy("a jump into another file"),
    "/GoToR": gettext_lazy("a jump into another file"),
    "/RichMedia": gettext_lazy("something that plays"),
}


def check(file: UploadedFile) -> str:
    """Its SHA-256 when it is a PDF to be read and nothing else; else ValidationError with the reason."""
    if (file.size or 0) > LARGEST_BYTES:
        raise ValidationError(
            _("That file has %(size)s; a sheet may have %(LARGEST_BYTES)s at most.")
            % {"size": shown_size(file.size or 0), "LARGEST_BYTES": shown_size(LARGEST_BYTES)}
        )
    file.seek(0)
    # by its content: a name ends in whatever somebody typed
    if file.read(5) != b"%PDF-":
        raise ValidationError(
            _("That is not a PDF, nor a photograph as JPEG, PNG or HEIC. Save or print the sheet as PDF first.")
        )
    try:
        reader = PdfReader(file)
        if reader.is_encrypted:
            raise ValidationError(_("That PDF is locked with a password. Print it as a plain PDF and bring that."))
        if not len(reader.pages):
            raise ValidationError(_("That PDF has no pages."))
        acts = next(filter(None, map(ACTS.get, names_in(reader))), None)
    except ValidationError:
        raise
    except Exception as error:  # a broken file makes the reader trip in ways that it does not announce
        raise ValidationError(_("That PDF is broken and cannot be read. Ask the supplier for another copy.")) from error
    if acts:
        raise ValidationError(_("That PDF holds %(acts)s. Print it as a plain PDF and bring that.") % {"acts": acts})
    # whoever stores the file reads it from the start
    file.seek(0)
    sha256 = hashlib.file_digest(file, "sha256").hexdigest()
    file.seek(0)
    return sha256


def names_in(reader: PdfReader) -> Iterator[str]:
    """Every name in every object: bytes alone would miss what lies inside compressed streams."""
    numbers = [(number, generation) for generation, known in reader.xref.items() for number in known]
    numbers += [(number, 0) for number in reader.xref_objStm]
    # a small file can name millions of objects and keep a worker busy for minutes
    if len(numbers) > MOST_OBJECTS:
        raise ValidationError(
            _("That PDF has more parts than any sheet needs. Print it as a plain PDF and bring that.")
        )
    yield from names_within(reader.trailer)
    for number, generation in numbers:
        found = reader.get_object(IndirectObject(number, generation, reader))
        if found is not None:
            yield from names_within(found)


def names_within(whole: PdfObject) -> Iterator[str]:
    left: list[object] = [whole]
    while left:
        part = left.pop()
        if isinstance(part, DictionaryObject):
            yield from map(str, part.keys())
            left.extend(part.values())
        elif isinstance(part, ArrayObject):
            left.extend(part)
        elif isinstance(part, NameObject):
            yield str(part)
