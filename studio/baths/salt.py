"""Salt out of jars: what portions of it weigh and bring a bath, and how much to take from which."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from chemistry import units
from chemistry.bath import CrystalsAdded, Mixed
from chemistry.hazards import substances
from chemistry.measured import plain
from chemistry.quantity import quantity, span
from chemistry.solution import sulfate
from chemistry.sourced import Fact
from inventory import ledger
from inventory.models import Container, Entry, Material
from inventory.refusals import Refused
from inventory.wording import plural_count, translated
from studio.baths.event_log import UNDATED
from studio.pages.quantities import grams, mass_mg, volume_ul

UL_PER_ML = 1000
PALE_POWDER_PER_BLUE = 1 / (substances.SUBSTANCES[Material.BathUse.PALE_POWDER].blue_crystals_per_g or 1)
SAID: dict[str, str | Promise] = {
    Material.BathUse.PALE_POWDER: gettext_lazy("pale powder"),
    Material.BathUse.MONOHYDRATE: gettext_lazy("monohydrate"),
}
HEATS_UP = gettext_lazy(
    "Powder heats up as it gets wet: powder into water, a little at a time."
)  # heat of hydration, from memory
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
        return self.pure_g * blue_crystals_per_g(self.container.material)

    @property
    def pure_g(self) -> float:
        """As weighed, impurities taken off: those of its lot, else of its material. [g]"""
        return grams(self.amount) * self.container.assay

    @property
    def takes_up_g(self) -> float:
        """The water of the bath that it binds as it dissolves. [g]"""
        return self.salt_g - self.pure_g


def blue_crystals_per_g(material: Material) -> float:
    """Grams of blue crystals that a gram of a material brings a bath; nought when it is no bath salt."""
    substance = substances.SUBSTANCES.get(material.bath_use)
    return (substance and substance.blue_crystals_per_g) or 0.0


def mixed_from(*, water_l: float, salt: Sequence[Portion], temperature_c: float = 20.0, by_cups: bool = False) -> Mixed:
    """What water and crystals make together, as the log takes it."""
    if not water_l:
        raise Refused("water_l", _("Water comes first: say how much."))
    if not salt:
        raise Refused("salt", _("Say which crystals go in, and how much of them."))
    added = crystals_added(salt, by_cups)
    return Mixed(
        day=UNDATED,
        water_l=water_l,
        temperature_c=temperature_c,
        salt_g=added.grams,
        salt_sd_g=added.sd_g,
        purity=added.purity,
        waters=added.waters,
    )


def crystals_added(portions: Sequence[Portion], by_cups: bool) -> CrystalsAdded:
    """Portions as the log takes them: grams as weighed, the pure share of them, and their waters together."""
    for portion in portions:
        if not blue_crystals_per_g(portion.container.material):
            name = portion.container.material
            ways = [(_("Say what it is"), reverse("shelf:change_material", args=[name.pk]))]
            said = _("%(name)s is not written down as copper sulfate: blue crystals or pale powder?") % {"name": name}
            raise Refused("salt", said, ways=ways)
    # each jar has its own assay and hydrate: the event gets the sum and the means that bring the same
    gross_g = sum(grams(portion.amount) for portion in portions)
    pure_g = sum(portion.pure_g for portion in portions)
    blue_g = sum(portion.salt_g for portion in portions)
    return CrystalsAdded(
        day=UNDATED,
        grams=gross_g,
        sd_g=CUP_SD_SHARE * pure_g if by_cups else None,
        purity=pure_g / gross_g if gross_g else 1.0,
        waters=waters_of(portions, pure_g=pure_g, blue_g=blue_g),
    )


def waters_of(portions: Sequence[Portion], *, pure_g: float, blue_g: float) -> float:
    """Waters of crystallisation of all together: as many as bring so much blue salt with so much weighed."""
    each = {substances.SUBSTANCES[portion.container.material.bath_use].waters for portion in portions}
    if len(each) == 1 or not blue_g:
        return each.pop() or 0.0 if len(each) == 1 else sulfate.BLUE_WATERS
    a_mol_g = sulfate.BLUE_CRYSTALS_G_PER_MOL * pure_g / blue_g
    return (a_mol_g - sulfate.ANHYDROUS_G_PER_MOL) / sulfate.CRYSTAL_WATER_G_PER_MOL


def said_portions(portions: Sequence[Portion]) -> str:
    parts = []
    # what was scooped is what people remember, so the words name the salt and not its blue equivalent
    for portion in portions:
        salt = SAID.get(portion.container.material.bath_use, _("crystals"))
        parts.append(
            _("%(show)s of %(salt)s") % {"show": portion.container.material.show(portion.amount), "salt": salt}
        )
    return get_text_list(parts, _("and"))


def take_from_the_shelf(
    salt: Sequence[Portion],
    water_from: Container | None,
    water_l: float,
    entry: Entry,
    *,
    acid: Portion | None = None,
) -> None:
    """What goes in leaves the shelf; tap water needs no container."""
    taken = [("salt", portion) for portion in salt] + ([("acid", acid)] if acid else [])
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
        ways = [(_("Say what a cup weighs"), reverse("shelf:change_material", args=[container.material_id]))]
        raise Refused(
            "salt",
            _("Nobody has weighed a cup of %(material)s yet: weigh them.") % {"material": container.material},
            ways=ways,
        )
    return Portion(container, units.mass_from_volume(volume_ul, density).amount)


def cup_weighs(cups: str) -> str:
    """
    What a cup of crystals weighs from loose and large to shaken and fine; cups: "us" or "metric".

    >>> cup_weighs("us"), cup_weighs("metric")
    ('237 to 308 g', '250 to 326 g')
    """
    ml = units.parse(f"1 {cups} cup", "volume") / UL_PER_ML
    loose, shaken = (ml * g_per_ml for g_per_ml in CUP_G_PER_ML)
    return str(translated(span([loose, shaken], "g", decimals=0)))


def bulk_density(material: Material) -> Fact[float] | None:
    if material.bulk_density_g_per_ml:
        return Fact(value=material.bulk_density_g_per_ml, source=_("weighed by the studio"))
    substance = substances.SUBSTANCES.get(material.bath_use)
    return substance.bulk_density_g_per_ml if substance else None


def from_the_shelf(salt_g: float, jars: Iterable[Container]) -> Iterator[Portion]:
    """So many grams of blue crystals out of jars in their order, each emptied before the next; less if they run out."""
    for jar in jars:
        per_g = jar.assay * blue_crystals_per_g(jar.material)
        # rounded to what the ledger can hold, or a jar could be asked for a fraction of a milligram
        wanted_mg = mass_mg(salt_g / per_g)
        if wanted_mg <= 0:
            return
        portion = Portion(jar, min(wanted_mg, jar.on_hand))
        salt_g -= portion.salt_g
        yield portion


def counted_as_blue(portion: Portion) -> str | None:
    """How a portion counts where it is not blue crystals already, and what wetting it does."""
    said = SAID.get(portion.container.material.bath_use)
    if said is None:
        return None
    return _(
        "%(grams)s of %(said)s counts as %(salt_g)s of blue crystals and takes up "
        "%(takes_up_g)s of the water. %(HEATS_UP)s"
    ) % {
        "grams": quantity(grams(portion.amount), "g", decimals=0),
        "said": said,
        "salt_g": quantity(portion.salt_g, "g", decimals=0),
        "takes_up_g": quantity(portion.takes_up_g, "mL", decimals=0),
        "HEATS_UP": HEATS_UP,
    }


def in_cups(litres: float, cups: str) -> str:
    """
    A little water as a kitchen measures it; cups: "us" or "metric".

    >>> in_cups(0.329, "metric"), in_cups(0.02, "us")
    ('329 mL (1.3 cups)', '20 mL')
    """
    cup_l = units.parse(f"1 {cups} cup", "volume") / UL_PER_ML / 1000
    ml = quantity(1000 * litres, "mL", decimals=0)
    if litres < cup_l / 4:
        return ml
    number = round(litres / cup_l, 1)
    words = ngettext("%(ml)s (%(cups)s cup)", "%(ml)s (%(cups)s cups)", plural_count(number))
    return words % {"ml": ml, "cups": plain(number, 1)}
