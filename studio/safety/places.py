"""What stands in places, baths and drums among it, as the classifier knows it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from typing import TypeVar

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from inventory import facts
from inventory.models import Container, Material, Place
from studio.baths.models import Bath
from studio.baths.status import BathStatus, status_of_baths, with_latest
from studio.hazards import co_storage
from studio.hazards.classification import classify_baths, classify_materials
from studio.hazards.co_storage import CoStorage, Stored
from studio.hazards.models import SupplierClasses
from studio.waste import whereabouts
from studio.waste.content import Content, contents_here, contents_of_drums
from studio.waste.hazards import classify_drums
from studio.waste.models import Drum
from studio.workshop.models import Workshop

Vessel = TypeVar("Vessel", Bath, Drum)


def co_storage_in_places(
    workshop: Workshop,
    *,
    baths: Sequence[BathStatus] | None = None,
    drums: Sequence[Content] | None = None,
    said: Mapping[int, SupplierClasses] | None = None,
) -> list[CoStorage]:
    """
    Every place where something stands, but for what is away with a partner studio.

    baths, drums: as they are now, said: by suppliers' sheets, where that was looked at already.
    """
    baths = status_of_baths() if baths is None else baths
    drums = contents_here() if drums is None else drums
    # what is away with a partner studio clashes there, not here
    jars = list(in_order(Container.objects.at_hand()))
    by_place = co_storage.by_place(jars)
    said = SupplierClasses.latest_until() if said is None else said
    known = classify_materials(materials_of(jars), workshop.region, sheets=said)
    others = stored_vessels(baths, drums, workshop.region, said)
    return [
        co_storage.co_storage(
            place,
            co_storage.stored_materials(by_place.get(place, []), known),
            others.get(place, []),
            workshop.region,
        )
        for place in sorted({*by_place, *others}, key=str)
    ]


def co_storage_of_place(place: Place, workshop: Workshop) -> tuple[CoStorage, list[Container]]:
    """With its jars, in the order of their names."""
    # every jar, however many a page shows: the one that is left out may be the one that burns
    jars = list(in_order(Container.objects.on_the_shelf().filter(place=place)))
    said = SupplierClasses.latest_until()
    known = classify_materials(materials_of(jars), workshop.region, sheets=said)
    baths = status_of_baths(list(with_latest(Bath.objects.filter(place=place).select_related("place"))))
    drums = contents_of_drums(whereabouts.drums_on_site().filter(place=place).select_related("place")).values()
    others = stored_vessels(baths, list(drums), workshop.region, said).get(place, [])
    materials = co_storage.stored_materials(jars, known)
    return co_storage.co_storage(place, materials, others, workshop.region), jars


def in_order(jars: QuerySet[Container]) -> QuerySet[Container]:
    return jars.select_related("material", "place").order_by("material__name", "pk")


def materials_of(jars: Sequence[Container]) -> list[Material]:
    return list({jar.material_id: jar.material for jar in jars}.values())


def stored_vessels(
    baths: Sequence[BathStatus], drums: Sequence[Content], region: str, said: Mapping[int, SupplierClasses]
) -> dict[Place, list[Stored]]:
    """By their place."""
    found: dict[Place, list[Stored]] = {}
    for place, stored in (*stored_baths(baths, region, said), *stored_drums(drums, region)):
        found.setdefault(place, []).append(stored)
    return found


def stored_baths(
    statuses: Sequence[BathStatus], region: str, said: Mapping[int, SupplierClasses]
) -> Iterator[tuple[Place, Stored]]:
    known = classify_baths(statuses, region, sheets=said)
    for each in statuses:
        bath, litres = each.bath, each.state.volume_l if each.state else None
        found = known[bath.pk].now
        yield bath.place, Stored(name=str(bath), url=bath.get_absolute_url(), hazards=found, litres=litres)


def as_they_stood(vessels: Sequence[Vessel], at: datetime) -> list[Vessel]:
    """With the place and its name of that moment: under another one they are looked for in vain on an old list."""
    if not vessels:
        return []
    places = {place.pk: place for place in facts.as_they_were(Place.objects.all(), at)}
    then = facts.as_they_were(vessels, at)
    for vessel in then:
        vessel.place = places[vessel.place_id]
    return then


def drums_then(at: datetime) -> list[Content]:
    """Those that stood here at a moment, where they stood, with what was in them."""
    drums = as_they_stood(list(whereabouts.drums_on_site(at).select_related("place")), at)
    return list(contents_of_drums(drums, at).values())


def stored_drums(held: Sequence[Content], region: str, at: datetime | None = None) -> Iterator[tuple[Place, Stored]]:
    known = classify_drums(held, region, at)
    for each in held:
        drum, litres = each.drum, each.volume.value if each.volume else None
        yield (
            drum.place,
            Stored(
                name=_("drum %(drum)s") % {"drum": drum},
                url=drum.get_absolute_url(),
                hazards=known[drum.pk],
                # nothing has gone into it yet
                litres=litres if each.deposits else 0.0,
            ),
        )
