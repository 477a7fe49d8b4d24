"""The whole book to take away: one zip of CSV files, written while it is being sent."""

import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import tzinfo
from itertools import chain

from django.db.models import QuerySet
from django.http import StreamingHttpResponse
from django.utils import timezone

from inventory.models import Container, Entry, Material, Movement, Place
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


def _materials(zone: tzinfo) -> Iterable[list]:
    for each in every(Material.objects.all()):
        level = each.show(each.reorder_level) if each.reorder_level else ""
        yield [each.pk, each.name, each.category, each.shown_unit, each.bath_use, each.purity, level, each.note]


def _containers(zone: tzinfo) -> Iterable[list]:
    for each in every(Container.objects.select_related("material", "place")):
        stuff = each.material
        days = [day.isoformat() if day else "" for day in (each.received_on, each.opened_on, each.use_by_on)]
        level = stuff.show(stuff.reorder_level) if stuff.reorder_level else ""
        known = [stuff.bath_use, stuff.purity, level]
        yield [stuff.name, stuff.category, each.shown_on_hand(), each.code, each.place.name, each.batch, *days, *known]


def _places(zone: tzinfo) -> Iterable[list]:
    return ([each.name, each.kind] for each in every(Place.objects.all()))


def _movements(zone: tzinfo) -> Iterable[list]:
    for each in every(Movement.objects.select_related("container__material")):
        stuff = each.container.material
        amount = stuff.show(abs(each.amount))
        sign = "in" if each.amount > 0 else "out"
        yield [each.entry_id, _moment(each.happened_at, zone), each.container.code, stuff.name, sign, amount, each.kind]


def _entries(zone: tzinfo) -> Iterable[list]:
    for each in every(Entry.objects.select_related("done_by", "struck_by")):
        times = [_moment(moment, zone) for moment in (each.happened_at, each.recorded_at)]
        struck = [each.struck_by.name, _moment(each.struck_at, zone)] if each.struck_by else ["", ""]
        yield [each.pk, *times, each.done_by.name, each.kind, each.subject, each.note, *struck, each.strike_reason]


def _inductions(zone: tzinfo) -> Iterable[list]:
    for each in every(Induction.objects.select_related("entry__done_by", "person")):
        entry, until = each.entry, each.until_on.isoformat() if each.until_on else ""
        struck = _moment(entry.struck_at, zone) if entry.struck_at else ""
        yield [entry.pk, _moment(entry.happened_at, zone), each.person, each.task, until, entry.done_by, struck]


def _bath_events(zone: tzinfo) -> Iterable[list]:
    for each in every(BathEvent.objects.select_related("bath", "entry")):
        figures = "; ".join(f"{name} {value}" for name, value in each.values.items())
        yield [each.entry_id, _moment(each.entry.happened_at, zone), each.bath.name, each.kind, each.words, figures]


def _drums(zone: tzinfo) -> Iterable[Sequence]:
    return lists.drums(every(Drum.objects.select_related("entry", "place")), zone)


def _deposits(zone: tzinfo) -> Iterable[Sequence]:
    rows = Deposit.objects.select_related("entry", "drum", "strip")
    return chain.from_iterable(lists.deposits(some, zone) for some in turns(rows))


def _seen_of_drums(zone: tzinfo) -> Iterable[Sequence]:
    for model in (Inspection, DrumWeighing, TestResult, Finding, Refusal):
        yield from lists.lines(every(model.objects.select_related("entry", "drum")), zone)


def _supplier_classes(zone: tzinfo) -> Iterable[list]:
    for each in every(SupplierClasses.objects.select_related("material", "entry")):
        told = ["; ".join(" ".join(line) for line in lines) for lines in (each.hazards, each.precautions)]
        signs = " ".join(each.pictograms)
        when = _moment(each.entry.happened_at, zone)
        yield [each.entry_id, when, each.material.name, each.sheet_on.isoformat(), each.signal_word, signs, *told]


def _printed_labels(zone: tzinfo) -> Iterable[list]:
    for each in every(PrintedLabel.objects.select_related("material", "container", "bath", "entry")):
        codes = " ".join(sorted(each.codes))
        yield [each.entry_id, _moment(each.entry.happened_at, zone), str(each.thing), each.size, codes]


def _handed(zone: tzinfo) -> Iterable[Sequence]:
    return lists.handed(every(DisposalItem.objects.select_related("drum", "disposal__corrects")), zone)


def _their_papers(zone: tzinfo) -> Iterable[Sequence]:
    return lists.papers(every(ReceiverPaper.objects.select_related("entry", "disposal")), zone)


def _incidents(zone: tzinfo) -> Iterable[Sequence]:
    return lists.incidents(every(Incident.objects.select_related("entry", "hurt")), zone)


def _follow_ups(zone: tzinfo) -> Iterable[Sequence]:
    return lists.follow_ups(every(FollowUp.objects.select_related("entry", "incident")), zone)


def _advice(zone: tzinfo) -> Iterable[Sequence]:
    return lists.advice(every(LocalAdvice.objects.select_related("entry")), zone)


def _moment(moment, zone: tzinfo) -> str:
    return moment.astimezone(zone).isoformat(" ", "minutes")


FILES: dict[str, tuple[list[str], Callable[[tzinfo], Iterable[Sequence]]]] = {
    "materials": (
        ["Number", "Material", "Category", "Unit", "In a bath", "Purity", "Reorder at", "Note"],
        _materials,
    ),
    "containers": (
        [
            *("Material", "Category", "Amount", "Code", "Place", "Batch", "Received", "Opened", "Use by"),
            *("In a bath", "Purity", "Reorder at"),
        ],
        _containers,
    ),
    "places": (["Place", "Kind"], _places),
    "movements": (["Entry", "When", "Container", "Material", "In or out", "Amount", "Kind"], _movements),
    "entries": (
        ["Entry", "When", "Written", "By", "Kind", "What", "Note", "Struck by", "Struck", "Why struck"],
        _entries,
    ),
    "inductions": (["Entry", "When", "Who", "For", "Until", "Shown by", "Struck"], _inductions),
    "supplier classes": (
        ["Entry", "When", "Material", "Sheet of", "Signal word", "Signs", "Hazards", "Precautions"],
        _supplier_classes,
    ),
    "printed labels": (["Entry", "When", "Of", "Size", "Statements"], _printed_labels),
    "bath events": (["Entry", "When", "Bath", "Kind", "What", "Figures"], _bath_events),
    "drums": (list(lists.DRUMS), _drums),
    "deposits": (list(lists.DEPOSITS), _deposits),
    "look-overs, weighings, tests": (list(lists.LINES), _seen_of_drums),
    "disposals": (list(lists.HANDED), _handed),
    "receivers' papers": (list(lists.PAPERS), _their_papers),
    "incidents": (list(lists.INCIDENTS), _incidents),
    "what followed incidents": (list(lists.FOLLOW_UPS), _follow_ups),
    "local advice": (list(lists.ADVICE), _advice),
    "copper recovered": (list(recovered.CSV_HEAD), recovered.rows),
}
