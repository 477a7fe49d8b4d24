"""Salt out of jars: what portions of it weigh and bring a bath, and how much to take from which."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from chemistry import units
from chemistry.bath import CrystalsAdded, Mixed
from chemistry.hazards import substances
from chemistry.hazards.substances import Fact
from inventory import ledger
from inventory.models import Container, Entry, Material
from inventory.refusals import Refused
from studio.baths.event_log import UNDATED
from studio.pages.quantities import grams, mass_mg, volume_ul

UL_PER_ML = 1000
PALE_POWDER_PER_BLUE = 1 / (substances.SUBSTANCES[Material.BathUse.PALE_POWDER].blue_crystals_per_g or 1)
CUP_G_PER_ML = (1.002, 1.302)  # a US cup of crystals is 237 to 308 g: common practice, no source
CUP_SD_SHARE = 0.065  # a quarter of that span


@dataclass(frozen=True)
class Portion:
    """An amount out of one container, in the base unit of its material."""

    container: Container
    amount: int

    @property
    def salt_g(self) -> float:
        """The portion as blue crystals, impurities taken off. [g]"""
        material = self.container.material
        return grams(self.amount) * material.purity * blue_crystals_per_g(material)


def blue_crystals_per_g(material: Material) -> float:
    """Grams of blue crystals that a gram of a material brings a bath; nought when it is no bath salt."""
    substance = substances.SUBSTANCES.get(material.bath_use)
    return (substance and substance.blue_crystals_per_g) or 0.0


def mixed_from(*, water_l: float, salt: Sequence[Portion], temperature_c: float = 20.0, by_cups: bool = False) -> Mixed:
    """What water and crystals make together, as the log takes it."""
    if not water_l:
        raise Refused("water_l", "Water comes first: say how much.")
    if not salt:
        raise Refused("salt", "Say which crystals go in, and how much of them.")
    added = crystals_added(salt, by_cups)
    return Mixed(
        day=UNDATED,
        water_l=water_l,
        temperature_c=temperature_c,
        salt_g=added.grams,
        salt_sd_g=added.sd_g,
        purity=added.purity,
    )


def crystals_added(portions: Sequence[Portion], by_cups: bool) -> CrystalsAdded:
    """Portions as the log takes them: grams of blue crystals with impurities in, and the pure share of them."""
    # each jar has its own purity: the event gets the sum and the share that follows from it
    pure_g = sum(portion.salt_g for portion in portions)
    gross_g = sum(portion.salt_g / portion.container.material.purity for portion in portions)
    return CrystalsAdded(
        day=UNDATED,
        grams=gross_g,
        sd_g=CUP_SD_SHARE * pure_g if by_cups else None,
        purity=pure_g / gross_g if gross_g else 1.0,
    )


def said_portions(portions: Sequence[Portion]) -> str:
    parts = []
    # what was scooped is what people remember, so the words name the salt and not its blue equivalent
    for portion in portions:
        powder = portion.container.material.bath_use == Material.BathUse.PALE_POWDER
        salt = "pale powder" if powder else "crystals"
        parts.append(f"{portion.container.material.show(portion.amount)} of {salt}")
    return " and ".join(parts)


def take_from_the_shelf(salt: Sequence[Portion], water_from: Container | None, water_l: float, entry: Entry) -> None:
    """What goes in leaves the shelf; tap water needs no container."""
    taken = [("salt", portion) for portion in salt]
    for _, portion in taken:
        if not blue_crystals_per_g(portion.container.material):
            name = portion.container.material
            raise Refused("salt", f"{name} is not written down as copper sulfate: blue crystals or pale powder?")
    if water_from and water_l:
        taken.append(("water_l", Portion(water_from, volume_ul(water_l))))
    # in one order for everybody, or two people could each hold the jar or the month that the other waits for
    for field, portion in sorted(taken, key=lambda one: (one[1].container.material_id, one[1].container.pk)):
        try:
            ledger.use(portion.container, portion.amount, entry=entry)
        except Refused as refusal:
            refusal.field = field
            raise


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
        # rounded to what the ledger can hold, or a jar could be asked for a fraction of a milligram
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
