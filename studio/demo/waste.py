"""The part of the invented year that is about waste: drums, what went in, what left, whom the studio asked."""

from django.db.models import QuerySet
from django.utils import timezone

from chemistry.measured import by_scale
from chemistry.waste import drum as sums
from inventory.asked_often import asked_often
from inventory.dates import months_after
from studio.baths.salt import Portion
from studio.cathodes.models import Cathode
from studio.pages.quantities import mass_mg
from studio.waste import advice, disposals, incidents, operations, sources
from studio.waste.disposals import KEPT_YEARS, Taken, month_of
from studio.waste.models import Disposal, Drum, Incident, LocalAdvice, ReceiverPaper
from studio.waste.operations import DepositRequest

DISPOSAL_WORDS = (
    *("route", "receiver", "address", "licence", "document_kind", "document_number", "codes", "jurisdiction"),
    "currency",
)
ADVICE_WORDS = ("kind", "asked", "question", "answer", "stream", "repeats")
ADVICE_DAYS = ("said_on", "until_on", "next_on")
G_PER_KG = 1000


def set_up_drum(year, line) -> None:
    drum = Drum(
        name=line["name"],
        kind=line["kind"],
        vessel=line["vessel"],
        is_vented=line["vented"] == "yes",
        capacity_l=float(line["capacity_l"]),
        tare_g=optional(line["tare_g"]),
        place=year.places[line["place"]],
    )
    operations.start_drum(drum, by=year.signed(line))


def fill(year, line) -> None:
    operations.deposit(request(line, pieces=optional(line["pieces"], int)), by=year.signed(line))


def look_over(year, line) -> None:
    full_percent = optional(line["full_percent"])
    operations.look_over(drum_of(line), found=line["found"], full_percent=full_percent, by=year.signed(line))


def strain(year, line) -> None:
    sources.strain(
        year.bath(line),
        litres_lost=float(line["litres"]),
        crystals_g=0,
        # the litres are the bath's loss: what lies in the drum is a towel, and is weighed
        into=request({**line, "litres": ""}),
        by=year.signed(line),
    )


def strip(year, line) -> None:
    sources.strip(
        Cathode.objects.get(name=line["name"]),
        weight=by_scale(float(line["mass_g"]), float(line["scale_g"])),
        # the strip's own weight is what goes in; a second one could differ from it
        metal_into=request({**line, "litres": "", "grams": ""}),
        by=year.signed(line),
    )


def spill(year, line) -> None:
    """Most of it was taken up with granules out of the spill box, and went into a drum with them."""
    (granules,) = year.materials[line["absorbent"]].containers.on_the_shelf()
    incidents.report(
        Incident(kind=Incident.Kind.SPILL, what_happened=line["note"]),
        bath=year.bath(line),
        litres=float(line["spilled_l"]),
        from_shelf=[("absorbent", Portion(granules, mass_mg(float(line["absorbent_g"]))))],
        into=request(line),
        # its words stand in the report
        by=year.signed({**line, "note": ""}),
    )


def request(line, **what) -> DepositRequest:
    drum = drum_of(line)
    return DepositRequest(
        drum=drum,
        kind=line.get("kind") or drum.kind,
        source=line.get("source") or "other",
        litres=optional(line["litres"], lambda typed: sums.poured(float(typed))),
        mass_g=optional(line["grams"], lambda typed: sums.weighed(float(typed))),
        **what,
    )


@asked_often
def drums_called(name: str) -> QuerySet[Drum]:
    return Drum.objects.filter(name=name)


def drum_of(line) -> Drum:
    [drum] = drums_called(line["drum"])
    return drum


def optional(typed: str, read=float):
    return read(typed) if typed else None


def hand_over(year, line) -> None:
    """weighed: each drum with what it weighed before and after, in kilograms."""
    day = timezone.localdate(year.moment(line))
    disposal = Disposal(
        **{name: line[name] for name in DISPOSAL_WORDS},
        cost_cents=int(line["cost_cents"]),
        checked_by=year.people[line["checked_by"]],
        counted_to=month_of(day),
        keep_until=months_after(day, 12 * KEPT_YEARS),
    )
    taken = []
    for each in line["weighed"].split():
        name, _, kilograms = each.partition("=")
        before_g, after_g = (G_PER_KG * float(weight) for weight in kilograms.split(":"))
        drum = Drum.objects.get(name=name)
        taken.append(Taken(drum=drum, before_g=before_g, after_g=after_g, half_width_g=float(line["scale_g"])))
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
    # a year that is written without one of its lines may have nothing left to close
    if incident:
        incidents.follow_up(incident, words=line["words"], closes=True, by=year.signed(line))


def tell(year, line) -> None:
    days = {name: year.day(line, name) for name in ADVICE_DAYS}
    told = LocalAdvice(
        **{name: line[name] for name in ADVICE_WORDS},
        **days,
        is_written=line["is_written"] == "yes",
        cu_mg_per_l=optional(line["cu_mg_per_l"]),
    )
    advice.record(told, by=year.signed(line))


FILES = (
    *("drums", "deposits", "look_overs", "strainings", "spills"),
    *("disposals", "papers", "incidents", "advice"),
)
WRITERS = {
    "drum": set_up_drum,
    "into a drum": fill,
    "looked over": look_over,
    "strained": strain,
    "spilled": spill,
    "stripped": strip,
    "handed over": hand_over,
    "paper came": file_paper,
    "went wrong": report,
    "closed": close,
    "told": tell,
}
