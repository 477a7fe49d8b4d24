"""An existing list: read, shown row by row, and written as one entry when somebody says so."""

import hashlib
from datetime import timedelta
from functools import partial

from django.core.cache import caches
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry import units
from inventory import book, importing, lists
from inventory.book import Signed
from inventory.dates import long_day
from inventory.importing import COMING, RowPlan
from inventory.models import Entry, Person, Place
from inventory.refusals import Refused
from studio.server import database
from studio.shelf import hydrates, kinds
from studio.shelf.models import ImportedFile

PREVIEW_KEPT = timedelta(days=30)


def read(content: bytes, name: str, *, place: Place, by: Person) -> ImportedFile:
    """Keep the rows of a file for its preview; refused when that very file is in the book already."""
    # by content: a list is often saved under a new name and brought once more
    sha256 = hashlib.sha256(content).hexdigest()
    first = Entry.objects.standing().filter(imported_files__sha256=sha256).first()
    if first:
        on = long_day(first.happened_at)
        raise Refused(
            "file", _("That very file was brought in on %(on)s; strike that entry to bring it in again.") % {"on": on}
        )
    rows = lists.read(content, name)
    # what nobody brought in for so long is kept no longer
    ImportedFile.objects.filter(entry=None, brought_at__lt=timezone.now() - PREVIEW_KEPT).delete()
    if not rows:
        raise Refused("file", _("Under its headings the file is empty."))
    return ImportedFile.objects.create(
        name=name[-120:], sha256=sha256, rows=rows, place=place, brought_by=by, brought_at=timezone.now()
    )


def progress_of(file: ImportedFile) -> str:
    """How far its bringing in has come, in any of the book's processes; empty while nobody has begun."""
    return caches["shared"].get(progress_key(file), "")


def progress_key(file: ImportedFile) -> str:
    return f"import-{file.pk}"


def plan(file: ImportedFile, cups: units.Cups) -> list[RowPlan]:
    return importing.plan(file.rows, cups=cups, place=file.place, ask=question_left_open)


@transaction.atomic
def write(file: ImportedFile, *, cups: units.Cups, by: Signed) -> Entry:
    """All that comes, as one entry; worked out anew, because the book may have moved on since the preview."""
    # two confirmations at once would bring everything twice
    # its entry is read once the lock is held: PostgreSQL would hand out the one of before the wait
    file = ImportedFile.objects.select_for_update(of=("self",)).get(pk=file.pk)
    if file.is_in_the_book:
        raise Refused(None, _("%(file)s is in the book already.") % {"file": file})
    tell = partial(caches["shared"].set, progress_key(file))
    tell(_("reading %(rows)s rows") % {"rows": len(file.rows)})
    coming = [line for line in plan(file, cups) if line.outcome in COMING]
    if not coming:
        raise Refused(None, _("Nothing in it is new to the book."))
    with book.entry(
        kinds.BROUGHT_IN,
        _("Brought in %(coming)s containers from %(file)s") % {"coming": len(coming), "file": file},
        by,
    ) as entry:
        importing.write(coming, entry=entry, tell=tell)
        ImportedFile.objects.filter(pk=file.pk).update(entry=entry)
        # after so many rows a database that plans by old statistics answers slowly
        database.survey()
    return entry


def question_left_open(name: str) -> str:
    if hydrates.sounds_like_copper_sulfate(name):
        return _("Blue crystals or pale powder? Write the material down first, then bring the list in.")
    return ""
