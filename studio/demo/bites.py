"""The part of the invented year that is about plates: where they came from, how they were bitten, where they went."""

from chemistry import units
from chemistry.measured import Measured, by_scale
from inventory.models import Container
from studio.bites import operations, plates
from studio.bites.exposure import by_rule
from studio.bites.models import Plate
from studio.bites.operations import Ending, Reading, Setting
from studio.bites.plates import GroundApplication


def take(year, line) -> None:
    """Out of the container opened first, or brought along."""
    width_mm, height_mm = units.parse_sides(line["size"])
    plate = Plate(
        name=line["name"],
        width_mm=width_mm,
        height_mm=height_mm,
        thickness_mm=float(line["thickness_mm"]),
        owner=year.people[line["owner"]],
        partner=year.places.get(line["partner"]),
        cut_from=_container(year, line["material"]) if line["material"] else None,
    )
    plates.take(plate, by=year.signed(line))


def prepare(year, line) -> None:
    plates.prepare(
        _plate(line["plate"]),
        state=int(line["state"]),
        ground=GroundApplication(words=line["ground"]),
        stop_out=GroundApplication(words=line["stop_out"]),
        protected=line["protected"],
        exposed=_exposed(line),
        by=year.signed(line),
    )


def weigh(year, line) -> None:
    weight = by_scale(float(line["mass_g"]), float(line["scale_g"]))
    plates.weigh(_plate(line["plate"]), weight=weight, is_bare=line["bare"] == "yes", by=year.signed(line))


def bite(year, line) -> None:
    """Off a run card, as the year kept them."""
    setting = Setting(plate=_plate(line["plate"]), state=int(line["state"]), exposed=_exposed(line))
    reading = Reading(minutes=1, amps=float(line["amps"]), volts=float(line["volts"]))
    operations.note(
        year.bath(line),
        setting=setting,
        readings=[reading],
        ending=Ending(minutes=float(line["minutes"]), ml_each=float(line["drag_out_ml"])),
        by=year.signed(line),
        unusual_anyway=True,
    )


def send(year, line) -> None:
    plates.send(_plates(line), next_step=line["note"], **_parcel(year, line))


def bring_back(year, line) -> None:
    plates.bring_back(_plates(line), next_step=line["note"], **_parcel(year, line))


def _parcel(year, line) -> dict:
    signed = year.signed(line | {"note": ""})
    return {"partner": year.places[line["partner"]], "weight_g": float(line["weight_g"]), "by": signed}


def _plates(line) -> list[Plate]:
    return [_plate(name) for name in line["plates"].split(";")]


def _plate(name: str) -> Plate:
    return Plate.objects.get(name=name)


def _exposed(line) -> Measured:
    return by_rule(float(line["exposed_cm2"]))


def _container(year, material: str) -> Container:
    return year.materials[material].containers.on_the_shelf().oldest_open_first()[0]


FILES = ("plates", "prepared", "bites", "weighed", "parcels")
WRITERS = {
    "plate": take,
    "prepared": prepare,
    "bitten": bite,
    "weighed": weigh,
    "sent": send,
    "came back": bring_back,
}
