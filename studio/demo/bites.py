"""The part of the invented year that is about plates, their bites, and the cathodes that took the copper."""

from django.db.models import QuerySet

from chemistry import units
from chemistry.measured import by_scale
from inventory.asked_often import asked_often
from studio.bites import operations, plates
from studio.bites.exposure import by_rule
from studio.bites.models import Plate
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.bites.plates import GroundApplication
from studio.cathodes import operations as cathodes
from studio.cathodes import sheets
from studio.cathodes.models import Cathode, Sheet


def take(year, line) -> None:
    """Out of the container opened first, or brought along."""
    width_mm, height_mm = units.parse_sides(line["size"])
    material = year.materials.get(line["material"])
    containers = year.containers_of(material) if material else ()
    plate = Plate(
        name=line["name"],
        width_mm=width_mm,
        height_mm=height_mm,
        thickness_mm=float(line["thickness_mm"]),
        owner=year.people[line["owner"]],
        partner=year.places.get(line["partner"]),
        cut_from=containers[0] if containers else None,
    )
    plates.take(plate, by=year.signed(line))


def prepare(year, line) -> None:
    plates.prepare(
        plate_called(line["plate"]),
        state=int(line["state"]),
        ground=GroundApplication(words=line["ground"]),
        stop_out=GroundApplication(words=line["stop_out"]),
        protected=line["protected"],
        exposed=by_rule(float(line["exposed_cm2"])),
        by=year.signed(line),
    )


def weigh(year, line) -> None:
    weight = by_scale(float(line["mass_g"]), float(line["scale_g"]))
    plates.weigh(plate_called(line["plate"]), weight=weight, is_bare=line["bare"] == "yes", by=year.signed(line))


def bite(year, line) -> None:
    """Off a run card, as the year kept them."""
    setting = Setting(
        plate=plate_called(line["plate"]), state=int(line["state"]), exposed=by_rule(float(line["exposed_cm2"]))
    )
    reading = CurrentReading(minutes=1, amps=float(line["amps"]), volts=float(line["volts"]))
    operations.note(
        year.bath(line),
        setting=setting,
        readings=[reading],
        ending=Ending(minutes=float(line["minutes"]), ml_each=float(line["drag_out_ml"])),
        by=year.signed(line),
        # early in the year the book has not learned yet what is usual here, and nobody is there to answer it
        unusual_anyway=True,
    )


def send(year, line) -> None:
    plates.send(**parcel_of(year, line))


def bring_back(year, line) -> None:
    plates.bring_back(**parcel_of(year, line))


def hang(year, line) -> None:
    figures = ("facing_cm2", "bare_g", "bare_half_width_g", "strip_at_um", "gap_mm", "most_loss_percent")
    sheet = Sheet(**{name: float(line[name]) for name in figures})
    cathodes.hang_new(Cathode(name=line["name"]), sheet=sheet, bath=year.bath(line), by=year.signed(line))


def say_copper(year, line) -> None:
    """By the piece, or all of it."""
    if line["size"]:
        said = sheets.of_a_piece(*units.parse_sides(line["size"]), thickness_mm=float(line["thickness_mm"]))
    else:
        said = sheets.by_share(100)
    cathodes.say_copper(year.materials[line["material"]], said=said, by=year.signed(line))


def parcel_of(year, line) -> dict:
    return {
        "plates": [plate_called(name) for name in line["plates"].split(";")],
        "next_step": line["note"],
        "partner": year.places[line["partner"]],
        "weight_g": float(line["weight_g"]),
        # the line's note is the next step, which the parcel says itself: twice would read like two
        "by": year.signed(line | {"note": ""}),
    }


@asked_often
def plates_called(name: str) -> QuerySet[Plate]:
    return Plate.objects.filter(name=name)


def plate_called(name: str) -> Plate:
    [plate] = plates_called(name)
    return plate


FILES = ("plates", "prepared", "bites", "weighed", "parcels", "cathodes", "strips", "copper")
WRITERS = {
    "plate": take,
    "prepared": prepare,
    "bitten": bite,
    "weighed": weigh,
    "sent": send,
    "came back": bring_back,
    "cathode hung": hang,
    "copper in it": say_copper,
}
