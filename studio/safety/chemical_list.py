"""The chemical list: what stands in each place, how much, its classes and sheet; now or on a past day."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils import timezone

from inventory import past, places
from inventory.models import Container, Material, Place, SafetySheet
from inventory.places import Flammables
from studio.baths import estimate
from studio.baths.models import Bath
from studio.baths.status import BathStatus, status_of_baths
from studio.hazards import classification as hazards
from studio.hazards.classification import Hazards
from studio.pages.quantities import with_spread
from studio.safety import overview
from studio.safety.together import groups_of
from studio.workshop.models import Workshop

CATEGORIES = {"flam_liq_1": "1", "flam_liq_2": "2", "flam_liq_3": "3"}
UNKNOWN = "not known"
CSV_HEAD = ("Place", "What", "Codes", "Amount", "Signal word", "Classes", "Storage group", "Flammable", "Sheet of")
STAYS_HEAD = ("Material", "Code", "Batch", "Place", "From", "Until")


@dataclass(frozen=True, kw_only=True)
class Line:
    """
    A material in a place, all its containers together; or a bath.

    category: of a flammable liquid; empty where it is none, and `UNKNOWN` where only its group or flash point says so.
    """

    name: str
    url: str
    hazards: Hazards
    amount: str
    codes: Sequence[str] = ()
    groups: Sequence[str] = ()
    category: str = ""
    sheet: SafetySheet | None = None
    has_sheet: bool = True

    @property
    def classes(self) -> str:
        return ", ".join(self.hazards.codes)


@dataclass(frozen=True, kw_only=True)
class Listed:
    """A place with what stands in it; litres: of flammable liquid by category."""

    place: Place
    lines: Sequence[Line]
    flammables: Flammables
    litres: Mapping[str, float]

    @property
    def unknown_l(self) -> float:
        return self.litres.get(UNKNOWN, 0.0)


def end_of(day: date) -> datetime | None:
    """The last moment of a past day; None for today, which is not over."""
    return None if day >= timezone.localdate() else timezone.make_aware(datetime.combine(day, time.max))


def listed(workshop: Workshop, at: datetime | None = None) -> list[Listed]:
    """
    Every place with something on the list, now or at a moment of the past.

    Classes and sheets are as they are known today, and so is where a bath stands.
    """
    jars = _jars(at)
    one = {jar.material_id: jar.material for jar in jars}
    for jar in jars:
        jar.material = one[jar.material_id]  # whose parts are fetched once for all its jars
    materials = list(one.values())
    found = hazards.of_materials(materials, workshop.region)
    sheets = {each.material_id: each for each in SafetySheet.objects.standing().filter(material__in=materials)[::-1]}
    by_place: dict[Place, list[Container]] = {}
    for jar in jars:
        by_place.setdefault(jar.place, []).append(jar)
    baths: dict[Place, list[Line]] = {}
    statuses = list(_baths(at))
    found_of_baths = hazards.of_baths(statuses, workshop.region)
    for each in statuses:
        baths.setdefault(each.bath.place, []).append(_bath(each, found_of_baths[each.bath.pk].now))
    return [
        _listed(place, by_place.get(place, []), baths.get(place, []), found, sheets)
        for place in sorted({*by_place, *baths}, key=str)
    ]


def rows(places: Sequence[Listed]) -> Iterator[tuple]:
    """The list for a spreadsheet."""
    for each in places:
        for line in each.lines:
            sheet_on = line.sheet.dated_on.isoformat() if line.sheet else "" if line.has_sheet else "not on file"
            groups, codes = ", ".join(line.groups), ", ".join(line.codes)
            flammable = f"category {line.category}" if line.category else ""
            word = line.hazards.word
            yield each.place.name, line.name, codes, line.amount, word, line.classes, groups, flammable, sheet_on


def stays() -> Iterator[tuple]:
    """What ever stood where, from when until when; nothing of it is ever deleted."""
    for stay in past.stays(Container.objects.filter(material__in=overview.asked_about().order_by())):
        jar, until = stay.container, stay.until.isoformat() if stay.until else ""
        yield jar.material.name, jar.code, jar.batch, stay.place.name, stay.since.isoformat(), until


def _jars(at: datetime | None) -> list[Container]:
    """What stands here, and not with a partner studio."""
    if at is None:
        here = Container.objects.at_hand().filter(material__in=overview.asked_about().order_by())
        return list(here.select_related("material", "place").order_by("material__name", "pk"))
    wanted = set(overview.asked_about().values_list("pk", flat=True))
    return [jar for jar in past.stood(at) if jar.material_id in wanted and jar.place.kind != Place.Kind.AWAY]


def _baths(at: datetime | None) -> list[BathStatus]:
    baths = list(Bath.objects.select_related("place"))
    if at is None:
        return status_of_baths(baths)
    states = [(bath, estimate.at_moment(bath, at)) for bath in baths]
    return [BathStatus(bath=bath, at=at, state=state) for bath, state in states if state]


def _listed(
    place: Place,
    jars: Sequence[Container],
    baths: Sequence[Line],
    found: Mapping[int, Hazards],
    sheets: Mapping[int, SafetySheet],
) -> Listed:
    by_material: dict[Material, list[Container]] = {}
    for jar in jars:
        by_material.setdefault(jar.material, []).append(jar)
    lines = [_material(each, by_material[each], found[each.pk], sheets.get(each.pk)) for each in by_material]
    litres: dict[str, float] = {}
    for material, line in zip(by_material, lines, strict=True):
        if line.category:
            volumes = filter(None, map(places.volume_ul, by_material[material]))
            litres[line.category] = litres.get(line.category, 0.0) + sum(volumes) / places.UL_PER_L
    burns = {material for material, line in zip(by_material, lines, strict=True) if line.category}
    return Listed(
        place=place,
        lines=[*baths, *lines],
        flammables=places.flammables(place, jars, burns=burns.__contains__),
        litres=litres,
    )


def _material(material: Material, jars: Sequence[Container], found: Hazards, sheet: SafetySheet | None) -> Line:
    groups = groups_of(material, found)
    return Line(
        name=str(material),
        url=material.get_absolute_url(),
        hazards=found,
        amount=material.show(sum(jar.on_hand for jar in jars)),
        codes=[jar.code for jar in jars],
        groups=sorted(groups),
        category=_category(found, groups),
        sheet=sheet,
        has_sheet=sheet is not None,
    )


def _category(found: Hazards, groups: Collection[str]) -> str:
    known = [CATEGORIES[id] for id in found.every_class if id in CATEGORIES]
    return known[0] if known else UNKNOWN if places.FLAMMABLE in groups else ""


def _bath(each: BathStatus, found: Hazards) -> Line:
    return Line(
        name=str(each.bath),
        url=each.bath.get_absolute_url(),
        hazards=found,
        amount=str(with_spread(each.state.volume_l, each.state.volume_sd_l, "L")) if each.state else "",
        groups=["copper salt"],
    )
