"""Salt out of jars: what cups of it weigh, and how much to take from which."""

from collections.abc import Iterable, Iterator

from chemistry import units
from chemistry.hazards import substances
from chemistry.hazards.substances import Fact
from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths.operations import CUP_G_PER_ML, Portion, blue_crystals_per_g
from studio.pages.quantities import grams, mass_mg

UL_PER_ML = 1000
PALE_POWDER_PER_BLUE = 1 / (substances.SUBSTANCES[Material.BathUse.PALE_POWDER].blue_crystals_per_g or 1)


def scooped(container: Container, volume_ul: int) -> Portion:
    """What cups of a container's crystals weigh, by the cup that the studio weighed or by a handbook's."""
    density = bulk_density(container.material)
    if density is None:
        raise Refused("salt", f"Nobody has weighed a cup of {container.material} yet: give grams.")
    return Portion(container, units.mass_from_volume(volume_ul, density).amount)


def cup_weighs(cups: str) -> str:
    """
    What a cup of crystals weighs from loose and large to shaken and fine; cups: "us" or "metric".

    >>> cup_weighs("us"), cup_weighs("metric")
    ('237 to 308 g', '250 to 326 g')
    """
    ml = units.parse(f"1 {cups} cup", "volume") / UL_PER_ML
    loose, shaken = (ml * g_per_ml for g_per_ml in CUP_G_PER_ML)
    return f"{loose:.0f} to {shaken:.0f} g"


def bulk_density(material: Material) -> Fact[float] | None:
    if material.bulk_density_g_per_ml:
        return Fact(value=material.bulk_density_g_per_ml, source="weighed by the studio")
    substance = substances.SUBSTANCES.get(material.bath_use)
    return substance.bulk_density_g_per_ml if substance else None


def from_the_shelf(salt_g: float, jars: Iterable[Container]) -> Iterator[Portion]:
    """So many grams of blue crystals out of jars in their order, each emptied before the next; less if they run out."""
    for jar in jars:
        per_g = jar.material.purity * blue_crystals_per_g(jar.material)
        wanted_mg = mass_mg(salt_g / per_g)
        if wanted_mg <= 0:
            return
        portion = Portion(jar, min(wanted_mg, jar.on_hand))
        salt_g -= portion.salt_g
        yield portion


def counted_as_blue(portion: Portion) -> str | None:
    """How a portion counts where it is not blue crystals already."""
    if portion.container.material.bath_use != Material.BathUse.PALE_POWDER:
        return None
    powder_g = grams(portion.amount)
    blue_g = powder_g * blue_crystals_per_g(portion.container.material)
    return f"{powder_g:,.0f} g of pale powder counts as {blue_g:,.0f} g of blue crystals."
