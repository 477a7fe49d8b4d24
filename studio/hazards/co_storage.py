"""What stands together in a place: which of it must be kept apart, and how much flammable liquid there is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from chemistry.hazards.storage import (
    STANDING,
    FlammablesLimit,
    Reason,
    flammables_limits,
    flashes_in_a_warm_room,
)
from chemistry.hazards.substances import SUBSTANCES
from chemistry.quantity import quantity
from inventory.models import Container, Material, Place
from inventory.wording import translated
from studio.hazards.classification import Hazards, parts_of, sold_alone

UL_PER_L = 1_000_000
LIMITED_AS = {Place.Kind.FLAMMABLES: "cabinet", Place.Kind.BENCH: "bench"}
CATEGORIES = {"flam_liq_1": "1", "flam_liq_2": "2", "flam_liq_3": "3"}
UNKNOWN_CATEGORY = gettext_noop("not known")


@dataclass(frozen=True, kw_only=True)
class Stored:
    """
    A material, a bath or a drum in a place; without a storage group nobody can say what it must be kept from.

    litres: how much of it stands there; None where nobody knows.
    """

    name: str
    url: str
    hazards: Hazards = field(compare=False)
    litres: float | None = field(compare=False, default=None)

    @property
    def category(self) -> str:
        """Of a flammable liquid; empty where it is none."""
        return flammable_category(self.hazards)


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
        return _("must not stand together") if self.reason.refused else _("better apart")

    @property
    def words(self) -> str:
        return f"{self.names}. {translated(self.reason.why)}"

    @property
    def names(self) -> str:
        ones, others = (", ".join(thing.name for thing in some) for some in (self.ones, self.others))
        return _("%(ones)s and %(others)s") % {"ones": ones, "others": others}


@dataclass(frozen=True, kw_only=True)
class FlammablesBound:
    """
    Litres that count against a limit of a place, and that limit.

    limit: the default with its source; None where the studio has set its own.
    """

    litres: float
    limit_l: float
    limit: FlammablesLimit | None = None

    @property
    def is_over(self) -> bool:
        return self.litres > self.limit_l

    @property
    def words(self) -> str:
        counted = {
            "warm": _("%(litres)s of flammable liquid that flashes in a warm room, and %(limit_l)s is its limit."),
            "rest": _("%(litres)s of flammable liquid that flashes higher, and %(limit_l)s is its limit."),
        }
        words = _("%(litres)s of flammable liquid, and %(limit_l)s is its limit.")
        words = counted.get(self.limit.counts, words) if self.limit else words
        return words % {"litres": quantity(self.litres, "L", 3), "limit_l": quantity(self.limit_l, "L", 3)}


@dataclass(frozen=True, kw_only=True)
class FlammableVolume:
    """
    Litres of flammable liquid in the jars, drums and tanks of a place, against its limits.

    by_category: of UN GHS; `UNKNOWN_CATEGORY` where only a storage group or a flash point says that it burns. [L]
    unmeasured: flammable, but of what is counted or weighed without a density nobody knows the litres.
    bounds: without any, no limit is on record for the region.
    """

    by_category: Mapping[str, float]
    unmeasured: Sequence[Stored]
    bounds: Sequence[FlammablesBound]

    @property
    def litres(self) -> float:
        return sum(self.by_category.values())

    @property
    def unknown_l(self) -> float:
        return self.by_category.get(UNKNOWN_CATEGORY, 0.0)

    @property
    def over(self) -> list[FlammablesBound]:
        return [bound for bound in self.bounds if bound.is_over]

    @property
    def is_over(self) -> bool:
        return bool(self.over)

    @property
    def words(self) -> str:
        return " ".join(bound.words for bound in self.over)

    @property
    def level(self) -> str:
        return "act" if self.is_over else "look" if self.unmeasured or not self.bounds else "fine"

    @property
    def word(self) -> str:
        if self.is_over:
            return _("over the limit")
        if not self.bounds:
            return _("needs info: ask the fire officer for the limit")
        return _("within the limit, as far as is known") if self.unmeasured else _("within the limit")


@dataclass(frozen=True, kw_only=True)
class CoStorage:
    """A place, what stands in it, and how much of it burns; vessels: baths and drums."""

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


def co_storage(place: Place, materials: Sequence[Stored], vessels: Sequence[Stored], region: str) -> CoStorage:
    flammables = flammable_volume(place, [*materials, *vessels], region)
    return CoStorage(place=place, materials=materials, vessels=vessels, flammables=flammables)


def stored_materials(jars: Sequence[Container], known: Mapping[int, Hazards]) -> list[Stored]:
    """Each with what its jars hold together; known: by the key of each jar's material."""
    materials: dict[Material, list[Container]] = {}
    for jar in jars:
        materials.setdefault(jar.material, []).append(jar)
    return [
        Stored(
            name=str(each),
            url=each.get_absolute_url(),
            hazards=known[each.pk],
            litres=litres_of(each, sum(jar.on_hand for jar in its_jars)),
        )
        for each, its_jars in materials.items()
    ]


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


def default_limits(place: Place, region: str) -> tuple[FlammablesLimit, ...]:
    return flammables_limits(LIMITED_AS.get(Place.Kind(place.kind), "outside a cabinet"), region)


def flammable_volume(place: Place, things: Sequence[Stored], region: str) -> FlammableVolume:
    burning = [thing for thing in things if thing.category]
    # what cannot be measured is named beside the sum, never counted as nothing
    measured = [(thing, thing.litres) for thing in burning if thing.litres is not None]
    by_category: dict[str, float] = {}
    counted = {"all": 0.0, "warm": 0.0, "rest": 0.0}
    for thing, litres in measured:
        by_category[thing.category] = by_category.get(thing.category, 0.0) + litres
        for share in ("all", "warm" if flashes_in_a_warm_room(thing.hazards.flash_point_c) else "rest"):
            counted[share] += litres
    own = place.flammables_limit_ul
    defaults = (
        FlammablesBound(litres=counted[limit.counts], limit_l=float(limit.litres), limit=limit)
        for limit in default_limits(place, region)
    )
    return FlammableVolume(
        by_category=by_category,
        unmeasured=[thing for thing in burning if thing.litres is None],
        # what the fire officer said goes before any default of ours, be it more or less
        bounds=list(defaults) if own is None else [FlammablesBound(litres=counted["all"], limit_l=own / UL_PER_L)],
    )


def flammable_category(found: Hazards) -> str:
    """Of a flammable liquid; empty where it is none, as far as anybody knows."""
    # classes come the most severe first; a group or a flash point alone still counts, or 5 L would read as none
    known = [CATEGORIES[id] for id in found.every_class if id in CATEGORIES]
    return known[0] if known else UNKNOWN_CATEGORY if found.is_flammable else ""


def litres_of(material: Material, amount: int) -> float | None:
    """An amount of it as a volume; None where nobody knows how dense it is."""
    if material.dimension == Material.Dimension.VOLUME:
        return amount / UL_PER_L
    density = lightest_g_per_ml(material) if material.dimension == Material.Dimension.MASS else None
    return amount / density / UL_PER_L if density else None


def lightest_g_per_ml(material: Material) -> float | None:
    """By its sheet, else by the substance that it is all of: the lightest it may be takes the most room."""
    if material.density_g_per_ml:
        return material.density_low_g_per_ml or material.density_g_per_ml
    alone = sold_alone(parts_of(material))
    known = SUBSTANCES[alone].density_g_per_ml if alone else None
    return (known.low or known.value) if known else None
