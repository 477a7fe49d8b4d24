"""What stands together in a place: which of it must be kept apart, and how much flammable liquid there is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from chemistry.hazards.storage import FLAMMABLES_LIMITS, STANDING, FlammablesLimit, Reason
from chemistry.measured import digits
from inventory.models import Container, Material, Place
from studio.hazards.classification import Hazards

UL_PER_L = 1_000_000
LIMIT_OF_KIND = {Place.Kind.FLAMMABLES: "cabinet", Place.Kind.BENCH: "bench"}
CATEGORIES = {"flam_liq_1": "1", "flam_liq_2": "2", "flam_liq_3": "3"}
UNKNOWN_CATEGORY = "not known"


@dataclass(frozen=True, kw_only=True)
class Stored:
    """A material, a bath or a drum in a place; without a storage group nobody can say what it must be kept from."""

    name: str
    url: str
    hazards: Hazards = field(compare=False)


@dataclass(frozen=True, kw_only=True)
class Clash:
    reason: Reason
    ones: Sequence[Stored]
    others: Sequence[Stored]

    @property
    def level(self) -> str:
        return "act" if self.reason.refused else "look"

    @property
    def word(self) -> str:
        return "must not stand together" if self.reason.refused else "better apart"

    @property
    def words(self) -> str:
        return f"{self.names}. {self.reason.why}"

    @property
    def names(self) -> str:
        ones, others = (", ".join(thing.name for thing in some) for some in (self.ones, self.others))
        return f"{ones} and {others}"


@dataclass(frozen=True, kw_only=True)
class FlammableVolume:
    """
    Litres of flammable liquid in the jars of a place, against its limit.

    by_category: of UN GHS; `UNKNOWN_CATEGORY` where only a storage group or a flash point says that it burns. [L]
    unmeasured: flammable, but of what is counted or weighed without a density nobody knows the litres.
    limit: the default with its source, where the studio has set none of its own.
    """

    by_category: Mapping[str, float]
    unmeasured: Sequence[Container]
    limit_l: float
    limit: FlammablesLimit | None

    @property
    def litres(self) -> float:
        return sum(self.by_category.values())

    @property
    def unknown_l(self) -> float:
        return self.by_category.get(UNKNOWN_CATEGORY, 0.0)

    @property
    def is_over(self) -> bool:
        return self.litres > self.limit_l

    @property
    def words(self) -> str:
        return f"{digits(self.litres, 3)} L of flammable liquid, and {digits(self.limit_l, 3)} L is its limit."


@dataclass(frozen=True, kw_only=True)
class CoStorage:
    """A place, what stands in it, and how much of its jars burns; vessels: baths and drums."""

    place: Place
    materials: Sequence[Stored]
    vessels: Sequence[Stored]
    flammables: FlammableVolume

    @property
    def things(self) -> list[Stored]:
        return [*self.materials, *self.vessels]

    @property
    def clashes(self) -> list[Clash]:
        """The gravest first."""
        found = [clash for reason in STANDING if (clash := clash_by(reason, self.things))]
        return sorted(found, key=lambda clash: not clash.reason.refused)

    @property
    def ungrouped(self) -> list[Stored]:
        """Of which, or of some of which, nobody can say what it must be kept from."""
        return [thing for thing in self.things if thing.hazards.ungrouped]


def co_storage(
    place: Place, jars: Sequence[Container], known: Mapping[int, Hazards], vessels: Sequence[Stored] = ()
) -> CoStorage:
    """known: by the key of each jar's material."""
    materials = {jar.material_id: jar.material for jar in jars}
    stored = [Stored(name=str(each), url=each.get_absolute_url(), hazards=known[pk]) for pk, each in materials.items()]
    return CoStorage(place=place, materials=stored, vessels=vessels, flammables=flammable_volume(place, jars, known))


def by_place(jars: Sequence[Container]) -> dict[Place, list[Container]]:
    # groupby sees neighbours only; the order of names within a place must survive
    ordered = sorted(jars, key=lambda jar: jar.place_id)
    return {place: list(its_jars) for place, its_jars in groupby(ordered, key=lambda jar: jar.place)}


def clash_by(reason: Reason, things: Sequence[Stored]) -> Clash | None:
    """What belongs to both groups, such as glacial acetic acid, is not kept from itself or from its like."""
    one, other = reason.pair
    ones = [thing for thing in things if one in thing.hazards.storage_groups]
    others = [thing for thing in things if other in thing.hazards.storage_groups]
    # a thing in both groups would otherwise clash with its own like
    only_other = [thing for thing in others if thing not in ones]
    if not only_other:
        ones, only_other = [thing for thing in ones if thing not in others], others
    return Clash(reason=reason, ones=ones, others=only_other) if ones and only_other else None


def default_limit(place: Place) -> FlammablesLimit:
    return FLAMMABLES_LIMITS[LIMIT_OF_KIND.get(Place.Kind(place.kind), "outside a cabinet")]


def flammable_volume(place: Place, jars: Sequence[Container], known: Mapping[int, Hazards]) -> FlammableVolume:
    """known: by the key of each jar's material."""
    by_category: dict[str, float] = {}
    unmeasured = []
    for jar in jars:
        category = flammable_category(known[jar.material_id])
        litres = litres_in(jar)
        if category and litres is None:
            unmeasured.append(jar)
        # what cannot be measured is named beside the sum, never counted as nothing
        elif category and litres is not None:
            by_category[category] = by_category.get(category, 0.0) + litres
    # what the fire officer said goes before any default of ours, be it more or less
    own, default = place.flammables_limit_ul, default_limit(place)
    return FlammableVolume(
        by_category=by_category,
        unmeasured=unmeasured,
        limit_l=float(default.litres) if own is None else own / UL_PER_L,
        limit=default if own is None else None,
    )


def flammable_category(found: Hazards) -> str:
    """Of a flammable liquid; empty where it is none, as far as anybody knows."""
    # classes come the most severe first; a group or a flash point alone still counts, or 5 L would read as none
    known = [CATEGORIES[id] for id in found.every_class if id in CATEGORIES]
    return known[0] if known else UNKNOWN_CATEGORY if found.is_flammable else ""


def litres_in(jar: Container) -> float | None:
    """What it holds, as a volume; None where nobody knows how dense it is."""
    material = jar.material
    if material.dimension == Material.Dimension.VOLUME:
        return jar.on_hand / UL_PER_L
    if material.dimension == Material.Dimension.MASS and material.density_g_per_ml:
        # the lightest it may be takes the most room
        return jar.on_hand / (material.density_low_g_per_ml or material.density_g_per_ml) / UL_PER_L
    return None
