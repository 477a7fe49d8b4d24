"""The chemical list: what stands in each place, how much, its classes and sheet; now or on a past day."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from operator import attrgetter

from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy

from inventory import facts, past
from inventory.models import Container, Material, Place, SafetySheet
from studio.baths import estimate
from studio.baths.models import Bath, BathEvent
from studio.baths.status import BathStatus, status_of_baths
from studio.hazards import co_storage
from studio.hazards.classification import Hazards, classify_baths, classify_materials
from studio.hazards.co_storage import FlammableVolume, Stored
from studio.hazards.models import SupplierClasses
from studio.pages.quantities import with_spread
from studio.safety import overview
from studio.safety.places import as_they_stood, drums_then, in_order, materials_of, stored_drums
from studio.waste.content import Content, contents_here
from studio.workshop.models import Workshop

CSV_HEAD = ("Place", "What", "Codes", "Amount", "Signal word", "Classes", "Storage group", "Flammable", "Sheet of")
NOT_ON_FILE = gettext_lazy("not on file")
STAYS_HEAD = ("Material", "Code", "Batch", "Place", "From", "Until")


@dataclass(frozen=True, kw_only=True)
class ChemicalListLine:
    """
    A material in a place, all its containers together; or a bath, which comes from no supplier.

    no_sheet: what to say where none is on file.
    """

    name: str
    url: str
    hazards: Hazards
    amount: str
    codes: Sequence[str] = ()
    sheet: SafetySheet | None = None
    no_sheet: str = ""

    @property
    def is_missed(self) -> bool:
        """Whether its sheet ought to be on file."""
        return self.no_sheet == str(NOT_ON_FILE)

    @property
    def classes(self) -> str:
        return ", ".join(self.hazards.codes)

    @property
    def groups(self) -> list[str]:
        return sorted(self.hazards.storage_groups)

    @property
    def category(self) -> str:
        """Of a flammable liquid; empty where it is none."""
        return co_storage.flammable_category(self.hazards)


@dataclass(frozen=True, kw_only=True)
class PlaceListing:
    """A place with what stands in it."""

    place: Place
    lines: Sequence[ChemicalListLine]
    flammables: FlammableVolume

    @property
    def worst(self) -> Hazards | None:
        """Of what is listed; a drum is not."""
        return min((line.hazards for line in self.lines), key=attrgetter("rank"), default=None)

    @property
    def has_flammables(self) -> bool:
        return bool(self.flammables.litres or self.flammables.unmeasured)


def end_of(day: date) -> datetime | None:
    """The last moment of a past day; None for today, which is not over."""
    return None if day >= timezone.localdate() else timezone.make_aware(datetime.combine(day, time.max))


def listed(
    workshop: Workshop,
    at: datetime | None = None,
    *,
    drums_now: Sequence[Content] | None = None,
    said: Mapping[int, SupplierClasses] | None = None,
) -> list[PlaceListing]:
    """
    Every place with something on the list, now or at a moment of the past.

    What is said of a past day is what the book says of that day: facts, classes, sheets, region, places.
    drums_now: what is in them, said: by suppliers' sheets, where that was looked at already.
    """
    # a studio that moved was under other rules then
    region = facts.as_of(workshop, at).region if at else workshop.region
    jars = jars_on_the_list(at)
    materials = materials_of(jars)
    said = SupplierClasses.latest_until(at) if said is None else said
    known = classify_materials(materials, region, at, sheets=said)
    sheets = SafetySheet.objects.latest_of(materials, at)
    by_place = co_storage.by_place(jars)
    baths: dict[Place, list[ChemicalListLine]] = {}
    statuses = status_of_baths_then(at) if at else status_of_baths()
    known_baths = classify_baths(statuses, region, at, sheets=said)
    drums: dict[Place, list[Stored]] = {}
    held = drums_then(at) if at else contents_here() if drums_now is None else drums_now
    for place, drum in stored_drums(held, region, at):
        drums.setdefault(place, []).append(drum)
    for each in statuses:
        baths.setdefault(each.bath.place, []).append(bath_line(each, known_baths[each.bath.pk].now))
    return [
        PlaceListing(
            place=place,
            lines=[*baths.get(place, ()), *material_lines(by_place.get(place, ()), known, sheets, at)],
            flammables=co_storage.flammable_volume(
                place,
                [*co_storage.stored_materials(by_place.get(place, ()), known), *drums.get(place, ())],
                region,
            ),
        )
        for place in sorted({*by_place, *baths, *drums}, key=str)
    ]


def batches(places: Sequence[PlaceListing], most: int) -> Iterator[list[PlaceListing]]:
    """The list in parts of so many lines; a place that does not end in one goes on in the next."""
    batch, room = list[PlaceListing](), most
    for each in places:
        lines = each.lines
        while lines:
            batch.append(replace(each, lines=lines[:room]))
            lines, room = lines[room:], max(0, room - len(lines))
            if not room:
                yield batch
                batch, room = [], most
    if batch:
        yield batch


def rows(places: Sequence[PlaceListing]) -> Iterator[tuple]:
    """The list for a spreadsheet."""
    for each in places:
        for line in each.lines:
            sheet_on = line.sheet.dated_on.isoformat() if line.sheet else line.no_sheet
            groups, codes = ", ".join(line.groups), ", ".join(line.codes)
            flammable = f"category {line.category}" if line.category else ""
            word = line.hazards.words
            yield each.place.name, line.name, codes, line.amount, word, line.classes, groups, flammable, sheet_on


def stays() -> Iterator[tuple]:
    """What ever stood where, from when until when; nothing of it is ever deleted."""
    for stay in past.storage_intervals(Container.objects.filter(material__in=overview.asked_about().order_by())):
        jar, until = stay.container, stay.until.isoformat() if stay.until else ""
        yield jar.material.name, jar.code, jar.batch, stay.place.name, stay.since.isoformat(), until


def jars_on_the_list(at: datetime | None) -> list[Container]:
    """What stands here, and not with a partner studio."""
    if at is None:
        return list(in_order(Container.objects.at_hand().filter(material__in=overview.asked_about().order_by())))
    jars = [jar for jar in past.containers_on_hand_at(at) if not jar.is_away]
    wanted = overview.asked_about_then(materials_of(jars), at)
    return [jar for jar in jars if jar.material in wanted]


def status_of_baths_then(at: datetime) -> list[BathStatus]:
    """Those that held something at a moment, each where it stood."""
    statuses = [status_of_bath_then(bath, at) for bath in as_they_stood(list(Bath.objects.all()), at)]
    return [each for each in statuses if each.state]


def status_of_bath_then(bath: Bath, at: datetime) -> BathStatus:
    """bath: with the facts of that moment."""
    readings = BathEvent.objects.standing_at(at).filter(bath=bath, kind__in=BathEvent.READINGS).in_order()
    return BathStatus(bath=bath, at=at, state=estimate.at_moment(bath, at), read=readings.last())


def material_lines(
    jars: Sequence[Container], known: Mapping[int, Hazards], sheets: Mapping[int, SafetySheet], at: datetime | None
) -> Iterator[ChemicalListLine]:
    # one line for all jars of a material: an inspector counts substances, not jars
    by_material: dict[Material, list[Container]] = {}
    for jar in jars:
        by_material.setdefault(jar.material, []).append(jar)
    for material, its_jars in by_material.items():
        summary = reverse("safety:open_material", args=[material.pk])
        yield ChemicalListLine(
            name=str(material),
            url=f"{summary}?on={timezone.localdate(at)}" if at else material.get_absolute_url(),
            hazards=known[material.pk],
            amount=material.show(sum(jar.on_hand for jar in its_jars)),
            codes=[jar.code for jar in its_jars],
            sheet=sheets.get(material.pk),
            no_sheet="" if material.pk in sheets else material.no_sheet_needed or str(NOT_ON_FILE),
        )


def bath_line(each: BathStatus, found: Hazards) -> ChemicalListLine:
    return ChemicalListLine(
        name=str(each.bath),
        url=each.bath.get_absolute_url(),
        hazards=found,
        amount=str(with_spread(each.state.volume_l, each.state.volume_sd_l, "L")) if each.state else "",
    )
