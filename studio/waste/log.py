"""The waste log of some days: what went in, what was seen, what left, what came back, in the order of the book."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.models import Entry
from inventory.wording import translated
from studio.cathodes.period import Period
from studio.waste.models import Deposit, DisposalItem, Drum, DrumWeighing, Finding, Inspection, Refusal, TestResult
from studio.waste.record import DisposalLine

MOST_LINES = 1000
LATEST_FIRST = ("-entry__happened_at", "-entry_id", "-pk")


@dataclass(frozen=True)
class WasteLogLine:
    """One thing done to one drum."""

    entry: Entry
    drum: Drum
    done: str
    what: str

    @property
    def place_in_book(self) -> tuple:
        return self.entry.happened_at, self.entry.pk


def log_lines(period: Period) -> list[WasteLogLine]:
    """In eight queries; the latest lines where there are more than a log is read for."""
    lines = [*set_up_during(period), *written_during(period), *handed_over_during(period)]
    return sorted(lines, key=lambda line: line.place_in_book)[-MOST_LINES:]


def set_up_during(period: Period) -> Iterator[WasteLogLine]:
    for drum in during(Drum.objects.standing(), period).select_related("entry__done_by")[:MOST_LINES]:
        yield WasteLogLine(drum.entry, drum, _("set up"), _("for %(stream)s") % {"stream": translated(drum.stream)})


def written_during(period: Period) -> Iterator[WasteLogLine]:
    for model, done in (
        (Deposit, _("put in")),
        (Inspection, _("looked over")),
        (DrumWeighing, "weighed"),
        (TestResult, "tested"),
        (Finding, _("found out")),
        (Refusal, "refused"),
    ):
        rows = during(model.objects.standing(), period).select_related("entry__done_by", "drum")
        for row in rows[:MOST_LINES]:
            yield WasteLogLine(row.entry, row.drum, done, str(row))


def handed_over_during(period: Period) -> Iterator[WasteLogLine]:
    """By the record that is in force; those that it corrects are read on their own pages."""
    rows = DisposalItem.objects.standing().filter(
        disposal__corrected_by=None, disposal__handed_over_at__range=(period.since, period.until)
    )
    joined = rows.select_related("drum", "disposal__entry__done_by", "disposal__first__entry__done_by")
    for row in joined.order_by("-disposal__handed_over_at", "-pk")[:MOST_LINES]:
        net = DisposalLine(row).net or _("not weighed")
        to = row.disposal.receiver or row.disposal.get_route_display()
        yield WasteLogLine(
            row.disposal.began_with.entry,
            row.drum,
            _("handed over"),
            _("%(net)s with %(disposal)s to %(to)s") % {"net": net, "disposal": row.disposal, "to": to},
        )


def during(rows, period: Period):
    # each kind is cut at its own latest, so the latest of all kinds together are among them
    return rows.filter(entry__happened_at__range=(period.since, period.until)).order_by(*LATEST_FIRST)
