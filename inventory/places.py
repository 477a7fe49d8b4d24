"""What stands together in a place: how much of it burns, and what must be kept apart."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from chemistry.hazards.storage import FLAMMABLES_LIMITS, FlammablesLimit, Reason, keep_apart
from inventory.models import Container, Material, Place

FLAMMABLE = "flammable"
FLAMMABLE_BELOW_C = 60.0  # UN GHS: flammable liquids, categories 1 to 3
UL_PER_L = 1_000_000
DEFAULTS = {Place.Kind.FLAMMABLES: "cabinet", Place.Kind.BENCH: "bench"}


@dataclass(frozen=True, kw_only=True)
class Flammables:
    """
    Litres of flammable liquid in a place, against its limit.

    unmeasured: flammable, but of what is counted or weighed without a density nobody knows the litres.
    limit: the default with its source, where the studio has set none of its own.
    """

    litres: float
    unmeasured: Sequence[Container]
    limit_l: float
    limit: FlammablesLimit | None

    @property
    def is_over(self) -> bool:
        return self.litres > self.limit_l


@dataclass(frozen=True, kw_only=True)
class Clash:
    """Materials that must not stand together, and why."""

    reason: Reason
    ones: Sequence[Material]
    others: Sequence[Material]


def is_flammable(material: Material) -> bool:
    flashes = material.flash_point_c is not None and material.flash_point_c < FLAMMABLE_BELOW_C
    return flashes or material.storage_group == FLAMMABLE


def default_limit(place: Place) -> FlammablesLimit:
    return FLAMMABLES_LIMITS[DEFAULTS.get(Place.Kind(place.kind), "outside a cabinet")]


def flammables(
    place: Place, containers: Sequence[Container], *, burns: Callable[[Material], bool] = is_flammable
) -> Flammables:
    """burns: which materials are flammable; whoever knows their classes knows more than the shelf does."""
    burning = [container for container in containers if burns(container.material)]
    volumes = {container: volume_ul(container) for container in burning}
    default = default_limit(place)
    own = place.flammables_limit_ul
    return Flammables(
        litres=sum(filter(None, volumes.values())) / UL_PER_L,
        unmeasured=[container for container, volume_ul in volumes.items() if volume_ul is None],
        limit_l=float(default.litres) if own is None else own / UL_PER_L,
        limit=default if own is None else None,
    )


def clashes(materials: Sequence[Material]) -> list[Clash]:
    """By their storage groups; a material without one is in none, and needs info."""
    groups = {material.storage_group for material in materials if material.storage_group}
    return [
        Clash(reason=reason, ones=_of(materials, reason.pair[0]), others=_of(materials, reason.pair[1]))
        for reason in keep_apart(groups, groups)
    ]


def _of(materials: Sequence[Material], group: str) -> list[Material]:
    return [material for material in materials if material.storage_group == group]


def volume_ul(container: Container) -> int | None:
    """What it holds, as a volume; None where nobody knows how dense it is."""
    material = container.material
    if material.dimension == Material.Dimension.VOLUME:
        return container.on_hand
    if material.dimension == Material.Dimension.MASS and material.density_g_per_ml:
        # the lightest it may be takes the most room
        return round(container.on_hand / (material.density_low_g_per_ml or material.density_g_per_ml))
    return None
