"""What an entry changed, line by line: what hangs on it, and stops counting when it is struck."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse

from inventory.models import Entry, Material

MOST_SHOWN = 200  # a list that was brought in has thousands
FILL_A_DRUM_TOO = ("disposal", "bath strained", "spill", "incident", "taken from the bath", "cathode stripped")


@dataclass(frozen=True)
class Change:
    """One thing that an entry changed: what, where its page is, and how."""

    what: str
    url: str
    how: str


def changes(entry: Entry) -> list[Change]:
    return [
        *_people(entry),
        *_facts(entry),
        *_shelf(entry),
        *_orders(entry),
        *_baths(entry),
        *_plates(entry),
        *_bites(entry),
        *_cathodes(entry),
        *_drums(entry),
        *_incidents(entry),
        *_disposals(entry),
        *_advice(entry),
        *_labels(entry),
    ]


def signed(material: Material, amount: int) -> str:
    """What came with a plus, what went with a minus."""
    return ("+" if amount > 0 else "−") + material.show(abs(amount))


def _people(entry: Entry) -> Iterator[Change]:
    if entry.kind != "inducted":
        return
    for induction in entry.inductions.select_related("person"):
        url = reverse("people:person", args=[induction.person_id])
        yield Change(str(induction.person), url, f"inducted for {induction}")


def _facts(entry: Entry) -> Iterator[Change]:
    for line in entry.fact_changes.order_by("pk"):
        yield Change(str(line.thing), line.thing.get_absolute_url(), str(line))


def _shelf(entry: Entry) -> Iterator[Change]:
    movements = list(entry.movements.select_related("container__material")[: MOST_SHOWN + 1])
    for movement in movements[:MOST_SHOWN]:
        shown = signed(movement.container.material, movement.amount)
        yield Change(str(movement.container), movement.container.get_absolute_url(), f"{shown}, {movement.kind}")
    if len(movements) > MOST_SHOWN:
        more = entry.movements.count() - MOST_SHOWN
        yield Change("And", reverse("shelf:shelf"), f"{more} more, each on the page of its container")
    for count in entry.counts.select_related("container__material"):
        shown = count.container.material.show(count.amount)
        yield Change(str(count.container), count.container.get_absolute_url(), f"{shown} were there")
    for move in entry.moves.select_related("container__material", "from_place", "to_place"):
        yield Change(str(move.container), move.container.get_absolute_url(), f"{move.from_place} → {move.to_place}")


def _orders(entry: Entry) -> Iterator[Change]:
    if entry.kind == "ordered":
        for line in entry.order.lines.select_related("pack__material"):
            yield Change(str(entry.order.supplier), entry.order.supplier.get_absolute_url(), f"{line} ordered")
    for receipt in entry.receipts.select_related("line__order__supplier", "line__pack__material"):
        supplier = receipt.line.order.supplier
        yield Change(str(supplier), supplier.get_absolute_url(), f"of {receipt.line}, {receipt}")


def _baths(entry: Entry) -> Iterator[Change]:
    for event in entry.bath_events.select_related("bath"):
        yield Change(str(event.bath), event.bath.get_absolute_url(), event.words)
    for answer in entry.answers.select_related("reading__bath"):
        bath = answer.reading.bath
        yield Change(str(bath), bath.get_absolute_url(), f"{answer}: {answer.reading.words}")


def _plates(entry: Entry) -> Iterator[Change]:
    if not entry.kind.startswith("plate"):
        return
    for plate in entry.plates.all():
        yield Change(str(plate), plate.get_absolute_url(), "a plate of its own")
    for preparation in entry.preparations.select_related("plate"):
        yield Change(str(preparation.plate), preparation.plate.get_absolute_url(), str(preparation))
    for weighing in entry.weighings.select_related("plate"):
        yield Change(str(weighing.plate), weighing.plate.get_absolute_url(), f"weighed {weighing}")
    for parcel in entry.parcels.select_related("partner").prefetch_related("travels__plate"):
        for travel in parcel.travels.all():
            yield Change(str(travel.plate), travel.plate.get_absolute_url(), str(parcel))


def _bites(entry: Entry) -> Iterator[Change]:
    if entry.kind == "efficiency":
        for own in entry.own_efficiencies.all():
            yield Change("What the current moves", reverse("bites:bites"), f"{own.get_electrode_display()}: {own}")
    if not entry.kind.startswith("bite"):
        return
    joined = ("bite__bath", "bite__plate")
    for bite in entry.bites.select_related("bath", "plate"):
        yield Change(str(bite), bite.get_absolute_url(), "began")
    for reading in entry.bite_readings.select_related(*joined):
        yield Change(str(reading.bite), reading.bite.get_absolute_url(), str(reading))
    for stop in entry.bite_stops.select_related(*joined):
        yield Change(str(stop.bite), stop.bite.get_absolute_url(), str(stop))


def _cathodes(entry: Entry) -> Iterator[Change]:
    if not entry.kind.startswith("cathode"):
        return
    for hanging in entry.hangings.select_related("cathode", "bath"):
        yield Change(str(hanging.cathode), hanging.cathode.get_absolute_url(), str(hanging))
    for sheet in entry.sheets.select_related("cathode"):
        yield Change(str(sheet.cathode), sheet.cathode.get_absolute_url(), str(sheet))
    for weighing in entry.cathode_weighings.select_related("cathode"):
        yield Change(str(weighing.cathode), weighing.cathode.get_absolute_url(), f"weighed {weighing}")
    for strip in entry.strips.select_related("cathode"):
        yield Change(str(strip.cathode), strip.cathode.get_absolute_url(), f"{strip} came off")


def _drums(entry: Entry) -> Iterator[Change]:
    if not entry.kind.startswith(("drum", *FILL_A_DRUM_TOO)):
        return
    for drum in entry.drums.all():
        yield Change(str(drum), drum.get_absolute_url(), f"set up for {drum.stream}")
    for lines in (entry.deposits, entry.inspections, entry.drum_weighings, entry.test_results, entry.findings):
        for line in lines.select_related("drum"):
            yield Change(str(line.drum), line.drum.get_absolute_url(), str(line))


def _advice(entry: Entry) -> Iterator[Change]:
    if entry.kind == "local advice":
        for told in entry.advice.all():
            yield Change(told.asked, told.get_absolute_url(), f"{told.get_kind_display()}, {told.about}")


def _labels(entry: Entry) -> Iterator[Change]:
    if entry.kind not in ("supplier’s classes", "label printed"):
        return
    for copied in entry.supplier_classes.select_related("material"):
        yield Change(str(copied.material), copied.material.get_absolute_url(), f"its supplier’s sheet says {copied}")
    for label in entry.printed_labels.select_related("material", "container", "bath"):
        yield Change(str(label.thing), label.thing.get_absolute_url(), "a label was printed")


def _incidents(entry: Entry) -> Iterator[Change]:
    if not entry.kind.startswith(("spill", "incident")):
        return
    if hasattr(entry, "incident"):
        yield Change("Report", entry.incident.get_absolute_url(), entry.incident.what_happened)
    if hasattr(entry, "follow_up"):
        yield Change("Report", entry.follow_up.incident.get_absolute_url(), entry.follow_up.words)


def _disposals(entry: Entry) -> Iterator[Change]:
    if not entry.kind.startswith(("disposal", "drum refused", "receipt")):
        return
    if hasattr(entry, "disposal"):
        disposal = entry.disposal
        for handed in disposal.handed.select_related("drum"):
            yield Change(str(disposal), disposal.get_absolute_url(), f"{handed.drum} went")
    for refusal in entry.refusals.select_related("drum"):
        yield Change(str(refusal.drum), refusal.drum.get_absolute_url(), str(refusal))
    if hasattr(entry, "receiver_paper"):
        paper = entry.receiver_paper
        yield Change(str(paper.disposal), paper.disposal.get_absolute_url(), f"{paper} came")
