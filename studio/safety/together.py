"""What stands together in each place, and which of it must be kept apart: by storage groups and by hazard classes."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from chemistry.hazards.storage import GROUPS, REASONS, Reason
from inventory import places
from inventory.models import Container, Material, Place
from inventory.places import Flammables
from studio.baths.models import Bath
from studio.hazards import classification
from studio.hazards.classification import Hazards
from studio.safety import summaries
from studio.waste import whereabouts
from studio.workshop.models import Workshop

OF_CLASS = {
    "flam_liq_1": "flammable",
    "flam_liq_2": "flammable",
    "flam_liq_3": "flammable",
    "ox_liq": "oxidiser",
    "ox_sol_2": "oxidiser",
}
OF_A_BATH = frozenset({"copper salt"})


@dataclass(frozen=True, kw_only=True)
class Thing:
    """A material, a bath or a drum in a place; without a group nobody can say what it must be kept from."""

    name: str
    url: str
    groups: frozenset[str]

    @property
    def burns(self) -> bool:
        return places.FLAMMABLE in self.groups


@dataclass(frozen=True, kw_only=True)
class Clash:
    reason: Reason
    ones: Sequence[Thing]
    others: Sequence[Thing]

    @property
    def level(self) -> str:
        return "act" if self.reason.refused else "look"

    @property
    def words(self) -> str:
        ones, others = (", ".join(thing.name for thing in some) for some in (self.ones, self.others))
        return f"{ones} and {others}. {self.reason.why}"


@dataclass(frozen=True, kw_only=True)
class CoStorage:
    """A place, what stands in it, and how much of its jars burns."""

    place: Place
    things: Sequence[Thing]
    flammables: Flammables

    @property
    def clashes(self) -> list[Clash]:
        """The gravest first."""
        found = [clash for reason in REASONS if (clash := _clash(reason, self.things))]
        return sorted(found, key=lambda clash: not clash.reason.refused)

    @property
    def ungrouped(self) -> list[Thing]:
        return [thing for thing in self.things if not thing.groups]


def in_places(workshop: Workshop) -> list[CoStorage]:
    """Every place where something stands, in five queries."""
    jars = list(Container.objects.at_hand().select_related("material", "place").order_by("material__name", "pk"))
    known = _known({jar.material for jar in jars}, workshop)
    by_place: dict[Place, list[Container]] = {jar.place: [] for jar in jars}
    for jar in jars:
        by_place[jar.place].append(jar)
    stands = {place: [known[jar.material] for jar in its_jars] for place, its_jars in by_place.items()}
    for place, thing in [*_baths(), *_drums()]:
        stands.setdefault(place, []).append(thing)
    return [
        CoStorage(
            place=place,
            things=list(dict.fromkeys(stands[place])),
            flammables=places.flammables(place, by_place.get(place, []), burns=lambda each: known[each].burns),
        )
        for place in sorted(stands, key=str)
    ]


def groups_of(material: Material, found: Hazards) -> frozenset[str]:
    """Its storage group or those of what it is made of, and what its classes and its flash point say besides."""
    stored = {group for group in summaries.groups_of(material) if group in GROUPS}
    by_class = {OF_CLASS[id] for id in found.every_class if id in OF_CLASS}
    return frozenset(stored | by_class | ({places.FLAMMABLE} if places.is_flammable(material) else set()))


def _known(materials: Iterable[Material], workshop: Workshop) -> dict[Material, Thing]:
    every = list(materials)
    found = classification.of_materials(every, workshop.region)
    return {
        each: Thing(name=str(each), url=each.get_absolute_url(), groups=groups_of(each, found[each.pk]))
        for each in every
    }


def _baths() -> Iterator[tuple[Place, Thing]]:
    for bath in Bath.objects.select_related("place"):
        yield bath.place, Thing(name=str(bath), url=bath.get_absolute_url(), groups=OF_A_BATH)


def _drums() -> Iterator[tuple[Place, Thing]]:
    for drum in whereabouts.here().select_related("place"):
        groups = frozenset(drum.stream.storage_groups)
        yield drum.place, Thing(name=f"drum {drum}", url=drum.get_absolute_url(), groups=groups)


def _clash(reason: Reason, things: Iterable[Thing]) -> Clash | None:
    """What belongs to both groups, such as glacial acetic acid, is not kept from itself or from its like."""
    one, other = reason.pair
    ones = [thing for thing in things if one in thing.groups]
    others = [thing for thing in things if other in thing.groups]
    only_other = [thing for thing in others if thing not in ones]
    if not only_other:
        ones, only_other = [thing for thing in ones if thing not in others], others
    return Clash(reason=reason, ones=ones, others=only_other) if ones and only_other else None
