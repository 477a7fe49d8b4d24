"""The part of the invented year that is about what left, what came back in writing, and what went wrong."""

from django.utils import timezone

from inventory.months import months_after
from studio.waste import disposals, incidents
from studio.waste.disposals import KEPT_YEARS, Taken, month_of
from studio.waste.models import Disposal, Drum, Incident, ReceiverPaper

AS_TEXT = (
    *("route", "receiver", "address", "licence", "document_kind", "document_number", "codes", "jurisdiction"),
    "currency",
)
G_PER_KG = 1000


def hand_over(year, line) -> None:
    """weighed: each drum with what it weighed before and after, in kilograms."""
    day = timezone.localdate(year.moment(line))
    disposal = Disposal(
        **{name: line[name] for name in AS_TEXT},
        cost_cents=int(line["cost_cents"]),
        checked_by=year.people[line["checked_by"]],
        counted_to=month_of(day),
        keep_until=months_after(day, 12 * KEPT_YEARS),
    )
    taken = [_taken(each, float(line["scale_g"])) for each in line["weighed"].split()]
    disposals.hand_over(disposal, taken=taken, by=year.signed(line))


def file_paper(year, line) -> None:
    disposal = Disposal.objects.get(document_number=line["document_number"])
    paper = ReceiverPaper(
        is_signed_copy=True,
        number=line["number"],
        weight_g=G_PER_KG * float(line["weight_kg"]),
        half_width_g=float(line["scale_g"]),
    )
    disposals.file_paper(disposal, paper=paper, by=year.signed(line))


def report(year, line) -> None:
    incident = Incident(kind=line["kind"], what_happened=line["words"], what_was_done=line["done"])
    incidents.report(incident, by=year.signed(line))


def close(year, line) -> None:
    """The report that is open longest."""
    incident = Incident.objects.still_open().select_related("entry").order_by("entry__happened_at").first()
    if incident:
        incidents.follow_up(incident, words=line["words"], closes=True, by=year.signed(line))


def _taken(weighed: str, scale_g: float) -> Taken:
    name, _, kilograms = weighed.partition("=")
    before, after = (G_PER_KG * float(each) for each in kilograms.split(":"))
    return Taken(drum=Drum.objects.get(name=name), before_g=before, after_g=after, half_width_g=scale_g)


FILES = ("disposals", "papers", "incidents")
WRITERS = {"handed over": hand_over, "paper came": file_paper, "went wrong": report, "closed": close}
