"""An existing list: read, shown row by row, put right in one go, and written as one entry when somebody says so."""

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import astuple
from datetime import timedelta
from functools import cache, partial
from typing import Any

from django.core.cache import caches
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import autodiscover_modules
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory import book, cells, importing, lists
from inventory.book import Signed
from inventory.dates import long_day
from inventory.importing import Choices, Plan, Reading, RowPlan, Studio
from inventory.models import Entry, Material, Person, Place
from inventory.refusals import Refused
from inventory.workbooks import Sheet
from studio.server import database
from studio.shelf import hydrates, kinds
from studio.shelf.models import ImportedFile
from studio.workshop.models import Workshop

PREVIEW_KEPT = timedelta(days=30)
REMEMBERED = 20  # lists whose headings are remembered

AlsoWrites = Callable[[Sequence[RowPlan], Mapping[str, Material], Entry], None]
WRITERS: list[AlsoWrites] = []


def also_writes(write: AlsoWrites) -> AlsoWrites:
    """Let a later feature write its side of a list, in its module `bringing_in`, in the same entry."""
    WRITERS.append(write)
    return write


@cache
def discover_writers() -> None:
    autodiscover_modules("bringing_in")


def read(content: bytes, name: str, *, place: Place, by: Person) -> ImportedFile:
    """Keep the sheets of a file for its preview; refused when that very file is in the book already."""
    # by content: a list is often saved under a new name and brought once more
    sha256 = hashlib.sha256(content).hexdigest()
    before = ImportedFile.objects.filter(sha256=sha256).select_related("entry").defer("sheets")
    for file in before:
        if file.entry and file.is_in_the_book:
            told = _("That very file was brought in on %(day)s; strike that entry to bring it in again.")
            raise Refused("file", told % {"day": long_day(file.entry.happened_at)})
    sheets = lists.read(content, name)
    if not any(len(sheet.rows) > 1 for sheet in sheets):
        raise Refused("file", _("Under its headings the file is empty."))
    # what nobody brought in for so long is kept no longer
    ImportedFile.objects.filter(entry=None, brought_at__lt=timezone.now() - PREVIEW_KEPT).delete()
    return ImportedFile.objects.create(
        name=name[-120:],
        sha256=sha256,
        sheets=[astuple(sheet) for sheet in sheets],
        # what was typed beside it before, also when that was struck
        choices=next((file.choices for file in before if file.choices), {}),
        place=place,
        brought_by=by,
        brought_at=timezone.now(),
    )


def progress_of(person: Person) -> str:
    """How far a list of theirs has come, in any of the book's processes; empty while nothing of one is done."""
    return caches["shared"].get(progress_key(person), "")


def progress_key(person: Person) -> str:
    return f"import-{person.pk}"


@contextmanager
def progress(person: Person, begins: str) -> Iterator[Callable[[str], None]]:
    """What is told inside is heard by the page that waits."""
    tell = partial(caches["shared"].set, progress_key(person))
    tell(begins)
    try:
        yield tell
    finally:
        caches["shared"].delete(progress_key(person))


def reading_of(file: ImportedFile) -> Reading:
    sheets = [Sheet(name, rows, [tuple(each) for each in merged]) for name, rows, merged in file.sheets]
    return Reading(sheets, Choices.kept(file.choices), remembered())


def remembered() -> dict[str, str]:
    """Which field was picked for a heading before, the latest word last."""
    latest = ImportedFile.objects.exclude(picked={}).values_list("picked", flat=True)[:REMEMBERED]
    return {heading: field for picked in reversed(latest) for heading, field in picked.items()}


def plan(file: ImportedFile, workshop: Workshop, *, tell: Callable[[str], None] = lambda words: None) -> Plan:
    days = cells.MONTH_FIRST if workshop.region == Workshop.Region.US else cells.DAY_FIRST
    studio = Studio(
        cups=workshop.cups,  # type: ignore[arg-type]  # the database holds no other
        imperial=workshop.region == Workshop.Region.GB,
        currency=workshop.currency,
        days=days,
        place=file.place,
    )
    return importing.plan(reading_of(file), studio, tell=tell)


def choose(file: ImportedFile, said: Mapping[str, Any]) -> None:
    """Keep what somebody said of the list; nothing of it is in the book yet."""
    choices = Choices.kept(file.choices)
    reading = reading_of(file)
    sheet = reading.at if said["sheet"] is None else said["sheet"]
    # another sheet or another row of headings has other columns
    is_other = (sheet, said["heading"]) != (reading.at, reading.heading)
    choices.sheet, choices.heading = sheet, said["heading"] if sheet == reading.at else None
    choices.columns = None if is_other else said["columns"] or None
    choices.days, choices.thousand = said["days"], said["thousand"]
    choices.places |= said["places"]
    for name, chosen in said["materials"].items():
        choices.materials[name] = choices.materials.get(name, {}) | chosen
    rows = dict(reading.rows) if said["cells"] else {}
    for number, typed in said["cells"].items():
        other = {name: cell for name, cell in typed.items() if cell != rows.get(int(number), {}).get(name, "")}
        if other:
            choices.cells[number] = choices.cells.get(number, {}) | other
    choices.left_out = sorted((set(choices.left_out) - said["shown"]) | said["left_out"])
    choices.again = sorted((set(choices.again) - said["shown"]) | said["again"])
    file.choices = choices.to_keep()
    if choices.columns is not None and choices.columns != reading.columns:
        file.picked = reading_of(file).picked_by_heading()
    ImportedFile.objects.filter(pk=file.pk).update(choices=file.choices, picked=file.picked)


@transaction.atomic
def write(
    file: ImportedFile, *, workshop: Workshop, by: Signed, tell: Callable[[str], None] = lambda words: None
) -> Entry:
    """All that comes, as one entry; worked out anew, because the book may have moved on since the preview."""
    # two confirmations at once would bring everything twice
    # its entry is read once the lock is held: PostgreSQL would hand out the one of before the wait
    file = ImportedFile.objects.select_for_update(of=("self",)).get(pk=file.pk)
    if file.entry and file.is_in_the_book:
        said = _("%(file)s is in the book already.") % {"file": file}
        raise Refused(None, said, ways=[(_("The line in the book"), file.entry.get_absolute_url())])
    planned = plan(file, workshop, tell=tell)
    for new in planned.materials:
        if new.asks_hydrate and new.bath_use is not None:
            hydrates.refuse_unreasoned(new.name, new.bath_use, by.note)
    entry = write_lines(planned.coming, there=planned.there, places=planned.places, subject=str(file), by=by, tell=tell)
    ImportedFile.objects.filter(pk=file.pk).update(entry=entry)
    return entry


def write_lines(
    lines: Sequence[RowPlan],
    *,
    there: Sequence[RowPlan] = (),
    places: Mapping[str, str],
    subject: str,
    by: Signed,
    tell: Callable[[str], None] = lambda words: None,
) -> Entry:
    """
    Many things at once, as one entry.

    there: rows whose containers the book has; what they cost may be new. places: those that are new, with their kind.
    """
    if not lines:
        raise Refused(None, _("Nothing in it is new to the book."))
    discover_writers()
    number = sum(line.containers for line in lines if line.amount)
    told = ngettext(
        "Brought in %(number)s container from %(list)s", "Brought in %(number)s containers from %(list)s", number
    )
    with book.entry(kinds.BROUGHT_IN, told % {"number": number, "list": subject}, by) as entry:
        materials = importing.write(lines, entry=entry, places=places, tell=tell)
        for also in WRITERS:
            also([*lines, *there], materials, entry)
        # after so many rows a database that plans by old statistics answers slowly
        database.survey()
    return entry
