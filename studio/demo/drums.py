"""The part of the invented year that is about drums: set up, filled in one act with where it came from, looked over."""

from chemistry.measured import Measured, by_scale
from chemistry.waste import drum as sums
from studio.baths.operations import Portion
from studio.cathodes.models import Cathode
from studio.pages.quantities import mass_mg
from studio.waste import incidents, operations, sources
from studio.waste.models import Drum, Incident
from studio.waste.operations import Allowance, DepositRequest


def set_up(year, line) -> None:
    drum = Drum(
        name=line["name"],
        kind=line["kind"],
        vessel=line["vessel"],
        is_vented=line["vented"] == "yes",
        capacity_l=float(line["capacity_l"]),
        tare_g=float(line["tare_g"]) if line["tare_g"] else None,
        place=year.places[line["place"]],
    )
    operations.start_drum(drum, by=year.signed(line))


def fill(year, line) -> None:
    operations.deposit(_put(line, pieces=int(line["pieces"]) if line["pieces"] else None), by=year.signed(line))


def look_over(year, line) -> None:
    full = float(line["full_percent"]) if line["full_percent"] else None
    operations.look_over(_drum(line), found=line["found"], full_percent=full, by=year.signed(line))


def strain(year, line) -> None:
    sources.strain(
        year.bath(line),
        litres_lost=float(line["litres"]),
        crystals_g=0,
        into=_put({**line, "litres": ""}),
        by=year.signed(line),
    )


def strip(year, line) -> None:
    sources.strip(
        Cathode.objects.get(name=line["name"]),
        weight=by_scale(float(line["mass_g"]), float(line["scale_g"])),
        metal_into=_put({**line, "litres": "", "grams": ""}),
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
        into=_put(line),
        by=year.signed({**line, "note": ""}),
    )


def _put(line, **what) -> DepositRequest:
    drum = _drum(line)
    return DepositRequest(
        drum=drum,
        kind=line.get("kind") or drum.kind,
        source=line.get("source") or "other",
        litres=_known(line["litres"], sums.poured),
        mass_g=_known(line["grams"], sums.weighed),
        allowance=Allowance(),
        **what,
    )


def _known(typed: str, measured) -> Measured | None:
    return measured(float(typed)) if typed else None


def _drum(line) -> Drum:
    return Drum.objects.get(name=line["drum"])


FILES = ("drums", "deposits", "look_overs", "strainings", "spills")
WRITERS = {
    "drum": set_up,
    "into a drum": fill,
    "looked over": look_over,
    "strained": strain,
    "spilled": spill,
    "stripped": strip,
}
