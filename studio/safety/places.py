"""What stands in places, baths and drums among it, as the classifier knows it."""

from collections.abc import Iterator, Sequence

from django.db.models import QuerySet

from inventory.models import Container, Material, Place
from studio.baths.models import Bath
from studio.baths.status import status_of_baths
from studio.hazards import co_storage
from studio.hazards.classification import classify_baths, classify_materials
from studio.hazards.co_storage import CoStorage, Stored
from studio.waste import content, whereabouts
from studio.waste.hazards import classify_drums
from studio.workshop.models import Workshop


def co_storage_in_places(workshop: Workshop) -> list[CoStorage]:
    """Every place where something stands, but for what is away with a partner studio."""
    # what is away with a partner studio clashes there, not here
    jars = list(in_order(Container.objects.at_hand()))
    by_place = co_storage.by_place(jars)
    known = classify_materials(materials_of(jars), workshop.region)
    others = stored_vessels(workshop.region)
    return [
        co_storage.co_storage(place, by_place.get(place, []), known, others.get(place, []))
        for place in sorted({*by_place, *others}, key=str)
    ]


def co_storage_of_place(place: Place, workshop: Workshop) -> tuple[CoStorage, list[Container]]:
    """With its jars, in the order of their names."""
    # every jar, however many a page shows: the one that is left out may be the one that burns
    jars = list(in_order(Container.objects.on_the_shelf().filter(place=place)))
    known = classify_materials(materials_of(jars), workshop.region)
    others = stored_vessels(workshop.region, place=place).get(place, [])
    return co_storage.co_storage(place, jars, known, others), jars


def in_order(jars: QuerySet[Container]) -> QuerySet[Container]:
    return jars.select_related("material", "place").order_by("material__name", "pk")


def materials_of(jars: Sequence[Container]) -> list[Material]:
    return list({jar.material_id: jar.material for jar in jars}.values())


def stored_vessels(region: str, **where: Place) -> dict[Place, list[Stored]]:
    """Baths and drums by their place; where: the one that is asked about, if only one is."""
    found: dict[Place, list[Stored]] = {}
    for place, stored in (*stored_baths(region, **where), *stored_drums(region, **where)):
        found.setdefault(place, []).append(stored)
    return found


def stored_baths(region: str, **where: Place) -> Iterator[tuple[Place, Stored]]:
    statuses = status_of_baths(list(Bath.objects.filter(**where).select_related("place")))
    known = classify_baths(statuses, region)
    for bath in (each.bath for each in statuses):
        yield bath.place, Stored(name=str(bath), url=bath.get_absolute_url(), hazards=known[bath.pk].now)


def stored_drums(region: str, **where: Place) -> Iterator[tuple[Place, Stored]]:
    held = content.contents_of_drums(whereabouts.drums_on_site().filter(**where).select_related("place")).values()
    known = classify_drums(held, region)
    for drum in (each.drum for each in held):
        yield drum.place, Stored(name=f"drum {drum}", url=drum.get_absolute_url(), hazards=known[drum.pk])
