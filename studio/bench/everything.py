"""The whole book to take away: one zip of CSV files, written while it is being sent."""

import json
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime, tzinfo
from itertools import chain

from django.db.models import QuerySet
from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.models import Container, Entry, EntryLine, FactChange, Material, Movement, Place
from studio.baths.models import BathEvent
from studio.cathodes import recovered
from studio.hazards.models import SupplierClasses
from studio.pages import spreadsheet
from studio.people.models import Induction
from studio.safety.models import PrintedLabel
from studio.waste import lists
from studio.waste.models import (
    Deposit,
    DisposalItem,
    Drum,
    DrumWeighing,
    Finding,
    FollowUp,
    Incident,
    Inspection,
    LocalAdvice,
    ReceiverPaper,
    Refusal,
    TestResult,
)

AT_ONCE = 500

Rows = Callable[[tzinfo], Iterable[Sequence]]


class Waiting:
    """Bytes of the zip that nobody has sent yet."""

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
    name = f"book-{timezone.localdate():%Y-%m-%d}.zip"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return StreamingHttpResponse(zipped(zone), content_type="application/zip", headers=headers)


def zipped(zone: tzinfo) -> Iterator[bytes]:
    waiting = Waiting()
    with zipfile.ZipFile(waiting, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, (head, rows) in FILES.items():
            with archive.open(f"{name}.csv", "w") as file:
                for some in spreadsheet.lines(head, rows(zone)):
                    file.write(some.encode())
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


def written(line: EntryLine, zone: tzinfo) -> list:
    """The entry of a line and when it happened."""
    return [line.entry_id, moment(line.entry.happened_at, zone)]


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


def movement_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Movement.objects.select_related("container__material")):
        stuff = each.container.material
        sign, amount = "in" if each.amount > 0 else "out", stuff.show(abs(each.amount))
        yield [each.entry_id, moment(each.happened_at, zone), each.container.code, stuff.name, sign, amount, each.kind]


def entry_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Entry.objects.select_related("done_by", "struck_by")):
        times = [moment(at, zone) for at in (each.happened_at, each.recorded_at)]
        struck = [each.struck_by.name, moment(each.struck_at, zone)] if each.struck_by else ["", ""]
        yield [each.pk, *times, each.done_by.name, each.kind, each.subject, each.note, *struck, each.strike_reason]


def change_rows(zone: tzinfo) -> Iterable[list]:
    """What was known of a thing and what is known since, as the book keeps it: in base units, rows by their key."""
    for each in every(FactChange.objects.select_related("entry__done_by")):
        struck = moment(each.entry.struck_at, zone) if each.entry.is_struck else ""
        about = [each.thing_kind, each.thing_id, each.field, json.dumps(each.old), json.dumps(each.new)]
        yield [*written(each, zone), each.entry.done_by.name, *about, each.entry.note, struck]


def induction_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(Induction.objects.select_related("entry__done_by", "person")):
        until = each.until_on.isoformat() if each.until_on else ""
        struck = moment(each.entry.struck_at, zone) if each.entry.is_struck else ""
        yield [*written(each, zone), each.person, each.task, until, each.entry.done_by, struck]


def bath_event_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(BathEvent.objects.select_related("bath", "entry")):
        figures = "; ".join(f"{name} {value}" for name, value in each.values.items())
        yield [*written(each, zone), each.bath.name, each.kind, each.words, figures]


def deposit_rows(zone: tzinfo) -> Iterable[Sequence]:
    rows = Deposit.objects.select_related("entry", "drum", "strip")
    return chain.from_iterable(lists.deposits(some, zone) for some in turns(rows))


def drum_line_rows(zone: tzinfo) -> Iterable[Sequence]:
    for model in (Inspection, DrumWeighing, TestResult, Finding, Refusal):
        yield from lists.lines(every(model.objects.select_related("entry", "drum")), zone)


def supplier_class_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(SupplierClasses.objects.select_related("material", "entry")):
        told = ["; ".join(" ".join(line) for line in lines) for lines in (each.hazards, each.precautions)]
        sheet = [each.material.name, each.sheet_on.isoformat(), each.signal_word, " ".join(each.pictograms)]
        yield [*written(each, zone), *sheet, *told]


def label_rows(zone: tzinfo) -> Iterable[list]:
    for each in every(PrintedLabel.objects.select_related("material", "container", "bath", "entry")):
        yield [*written(each, zone), str(each.thing), each.size, " ".join(sorted(each.codes))]


def rows_of(queryset: QuerySet, told: Callable[[Iterable, tzinfo], Iterable[Sequence]]) -> Rows:
    """What a feature tells of each row of its own."""
    return lambda zone: told(every(queryset.all()), zone)


FILES: dict[str, tuple[Sequence[str], Rows]] = {
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
    "movements": (["Entry", "When", "Container", "Material", "In or out", "Amount", "Kind"], movement_rows),
    "entries": (
        ["Entry", "When", "Written", "By", "Kind", "What", "Note", "Struck by", "Struck", "Why struck"],
        entry_rows,
    ),
    "changes of facts": (
        ["Entry", "When", "By", "Kind", "Number", "Fact", "Before", "Since", "Why", "Struck"],
        change_rows,
    ),
    "inductions": (["Entry", "When", "Who", "For", "Until", "Shown by", "Struck"], induction_rows),
    "supplier classes": (
        ["Entry", "When", "Material", "Sheet of", "Signal word", "Signs", "Hazards", "Precautions"],
        supplier_class_rows,
    ),
    "printed labels": (["Entry", "When", "Of", "Size", "Statements"], label_rows),
    "bath events": (["Entry", "When", "Bath", "Kind", "What", "Figures"], bath_event_rows),
    "drums": (lists.DRUMS, rows_of(Drum.objects.select_related("entry", "place"), lists.drums)),
    "deposits": (lists.DEPOSITS, deposit_rows),
    "look-overs, weighings, tests": (lists.LINES, drum_line_rows),
    "disposals": (
        lists.HANDED,
        rows_of(DisposalItem.objects.select_related("drum", "disposal__corrects"), lists.handed),
    ),
    "receivers' papers": (
        lists.PAPERS,
        rows_of(ReceiverPaper.objects.select_related("entry", "disposal"), lists.papers),
    ),
    "incidents": (lists.INCIDENTS, rows_of(Incident.objects.select_related("entry", "hurt"), lists.incidents)),
    "what followed incidents": (
        lists.FOLLOW_UPS,
        rows_of(FollowUp.objects.select_related("entry", "incident"), lists.follow_ups),
    ),
    "local advice": (lists.ADVICE, rows_of(LocalAdvice.objects.select_related("entry"), lists.advice)),
    "copper recovered": (recovered.CSV_HEAD, recovered.rows),
}
