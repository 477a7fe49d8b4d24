"""
The whole book to take away, written while it is being sent: as CSV files for people and other programs, as rows that
`restore` opens again, and what people brought along.
"""

import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime, tzinfo
from itertools import chain

from django.contrib.auth.models import User
from django.db.models import QuerySet
from django.http import StreamingHttpResponse
from django.utils import timezone
from django_otp.plugins.otp_totp.models import TOTPDevice

from inventory.entries import every_line
from inventory.models import Container, Entry, EntryLine, Material, Place
from studio.cathodes import recovered
from studio.pages import spreadsheet
from studio.people.models import (
    CodeOnPaper,
    CodesOnPaper,
    Contact,
    Invitation,
    Mail,
    MailWishes,
    Pin,
    Session,
    Tablet,
)
from studio.printing.models import PrintJob
from studio.server import backups, rows
from studio.waste.models import CalendarAddress

AT_ONCE = 500  # SQLite takes no more than 1,000 keys in one question of what lines lead to
# what opens a door, and how people are reached, never leaves with the book; nor what is on the press
KEPT_HERE = (Pin, Contact, Invitation, Mail, MailWishes, Session, CodeOnPaper, CodesOnPaper, TOTPDevice, PrintJob)
SECRETS = {User: ("password", "last_login"), Tablet: ("key",), CalendarAddress: ("token",)}

Rows = Callable[[tzinfo], Iterable[Sequence]]


class PendingBytes:
    """Bytes of the zip that nobody has sent yet."""

    # it cannot seek, so the zip writes sizes behind its data and never goes back to what was sent
    def __init__(self) -> None:
        self.parts: list[bytes] = []

    def write(self, part: bytes) -> int:
        self.parts.append(part)
        return len(part)

    def flush(self) -> None:
        """Nothing lies anywhere else."""

    def close(self) -> None:
        """Nothing is open."""

    def taken(self) -> bytes:
        taken, self.parts = b"".join(self.parts), []
        return taken


def answer(zone: tzinfo) -> StreamingHttpResponse:
    name = f"everything-{timezone.localdate():%Y-%m-%d}.zip"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(zipped(zone), content_type="application/zip", headers=headers)


def zipped(zone: tzinfo) -> Iterator[bytes]:
    waiting = PendingBytes()
    # sent while it is packed: the book of many years would fill the memory, and its reader would wait
    with zipfile.ZipFile(waiting, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, (head, lines_of) in files().items():
            with archive.open(f"{name}.csv", "w", force_zip64=True) as file:
                for some in spreadsheet.lines(head, lines_of(zone)):
                    file.write(some.encode())
                    yield waiting.taken()
        with archive.open(backups.ROWS, "w", force_zip64=True) as file, backups.snapshot() as moment_of_all:
            for line in rows.written_rows(using=moment_of_all, without=KEPT_HERE, secrets=SECRETS):
                file.write(line)
                if waiting.parts:
                    yield waiting.taken()
        # after the rows: every document they name was on the disk before
        for _ in backups.pack_documents(archive):
            yield waiting.taken()
    yield waiting.taken()


def every(rows: QuerySet) -> Iterator:
    return chain.from_iterable(turns(rows))


def turns(rows: QuerySet) -> Iterator[list]:
    """All rows as they were written, in short turns: one long read would keep a SQLite book from being written."""
    turn = rows.order_by("pk")
    while some := list(turn[:AT_ONCE]):
        yield some
        turn = rows.order_by("pk").filter(pk__gt=some[-1].pk)


def moment(at: datetime, zone: tzinfo) -> str:
    return at.astimezone(zone).isoformat(" ", "minutes")


def material_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Material.objects.all()):
        level = each.show(each.reorder_level) if each.reorder_level else ""
        yield [each.pk, each.name, each.category, each.shown_unit, each.bath_use, each.purity, level, each.note]


def container_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Container.objects.select_related("material", "place")):
        stuff = each.material
        days = [day.isoformat() if day else "" for day in (each.received_on, each.opened_on, each.use_by_on)]
        level = stuff.show(stuff.reorder_level) if stuff.reorder_level else ""
        known = [stuff.bath_use, stuff.purity, level]
        yield [stuff.name, stuff.category, each.shown_on_hand(), each.code, each.place.name, each.batch, *days, *known]


def entry_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Entry.objects.select_related("done_by", "struck_by")):
        times = [moment(at, zone) for at in (each.happened_at, each.recorded_at)]
        struck = [each.struck_by.name, moment(each.struck_at, zone)] if each.struck_by else ["", ""]
        allowed = "; ".join(" ".join(filter(None, (why, reason))) for why, reason in each.allowed)
        yield [
            each.pk,
            *times,
            each.done_by.name,
            each.kind,
            each.subject,
            each.note,
            *struck,
            each.strike_reason,
            allowed,
        ]


def line_rows(line: type[EntryLine]) -> Rows:
    """What the lines of one kind tell of themselves."""
    joined = line.joined or tuple(filter(None, (line.tells_of,)))
    # not in the same query: what many lines of a turn point at, such as a material, is made once and not for each
    lines = line._base_manager.prefetch_related("entry__done_by", *joined)
    return lambda zone: chain.from_iterable(line.exported(some, zone) for some in turns(lines))


def files() -> dict[str, tuple[Sequence[str], Rows]]:
    """The things, the entries, and every kind of line that hangs on one."""
    lines = {line.exported_as or str(line._meta.verbose_name_plural): line for line in every_line() if line.columns}
    return THINGS | {name: (line.headings(), line_rows(line)) for name, line in lines.items()}


THINGS: dict[str, tuple[Sequence[str], Rows]] = {
    "materials": (
        ["Number", "Material", "Category", "Unit", "In a bath", "Purity", "Reorder at", "Note"],
        material_rows,
    ),
    "containers": (
        [
            *("Material", "Category", "Amount", "Code", "Place", "Batch", "Received", "Opened", "Use by"),
            *("In a bath", "Purity", "Reorder at"),
        ],
        container_rows,
    ),
    "places": (["Place", "Kind"], lambda zone: ([each.name, each.kind] for each in every(Place.objects.all()))),
    "entries": (
        ["Entry", "When", "Written", "By", "Kind", "What", "Note", "Struck by", "Struck", "Why struck", "All the same"],
        entry_rows,
    ),
    "copper recovered": (recovered.CSV_HEAD, recovered.rows),
}
