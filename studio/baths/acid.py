"""Sulfuric acid into a bath: how strong what stands on the shelf is, and how much of it goes in."""

from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry import bath as bath_model
from chemistry.bath import AcidAdded, BathState
from chemistry.bath.events import SCALE_G, SCALE_SHARE
from chemistry.measured import HALF_WIDTH_SDS, digits
from chemistry.quantity import quantity
from chemistry.ranges import OutOfRange
from chemistry.solution import sulfuric
from inventory.models import Container, Material
from inventory.refusals import Refused
from studio.baths.salt import Portion
from studio.hazards.classification import parts_of
from studio.pages.quantities import mass_mg, volume_ul

SULFURIC = "sulfuric_acid"
USUAL_PERCENT = 96.0  # of concentrated acid as it is sold, where no bottle stands here that says otherwise
Dimension = Material.Dimension
AIMED_AT = "strength"  # by what a litre of bath is to hold, beside the ledger's own two ways
SAID = {
    Dimension.MASS: gettext_lazy("%(amount)s of sulfuric acid, %(strength)s"),
    Dimension.VOLUME: gettext_lazy("%(amount)s of sulfuric acid, %(strength)s"),
    AIMED_AT: gettext_lazy("sulfuric acid, %(strength)s, up to %(amount)s"),
}
SAID_IN = {Dimension.MASS: "g", Dimension.VOLUME: "mL", AIMED_AT: "g/L"}
INTO_WATER = gettext_lazy(
    "Acid into water, never the other way: it boils and spits. By somebody trained, a little at a time, stirring. "
    "Goggles, gloves and apron; current off."
)


@dataclass(frozen=True)
class AcidStrength:
    """H2SO4 in an acid by mass, and how far that may be off. [%]"""

    percent: float
    sd: float = 0.0

    def __str__(self) -> str:
        return f"{digits(self.percent, 3)} %"


class PouredAcid(NamedTuple):
    """Acid as the log takes it, what is said of it, and what its bottle on the shelf loses."""

    added: AcidAdded
    words: str
    taken: Portion | None


@dataclass(frozen=True, kw_only=True)
class AcidPortion:
    """
    So much of an acid as it stands in its bottle.

    amount: in g by mass, in mL by volume, or the g of H2SO4 that a litre of bath is to hold once it is in.
    jar: on the shelf; None where its bottle is not in the book.
    """

    dimension: str
    amount: float
    strength: AcidStrength
    jar: Container | None = None

    def poured_into(self, bath: BathState) -> PouredAcid:
        """Refused where the bath holds as much already."""
        grams = self.grams_for(bath)
        off = grams * self.strength.sd / self.strength.percent
        sd_g = hypot(SCALE_SHARE * grams + SCALE_G, off) if off else None
        added = AcidAdded(day=bath.day, grams=grams, percent=self.strength.percent, sd_g=sd_g)
        return PouredAcid(added, self.words(grams), self.from_the_shelf(grams))

    def grams_for(self, bath: BathState) -> float:
        percent = self.strength.percent
        if self.dimension == Dimension.MASS:
            return self.amount
        if self.dimension == Dimension.VOLUME:
            return self.amount * sulfuric.stock_density_g_per_ml(percent)
        try:
            grams = bath_model.acid_to_reach(bath, acid_g_per_l=self.amount, percent=percent)
        except OutOfRange as error:
            most = {"percent": self.strength, "most": quantity(error.high, "g/L", 3)}
            words = _("With acid of %(percent)s a bath comes to %(most)s at the most; take a stronger one.")
            raise Refused("acid", words % most) from error
        if not grams:
            words = _("It holds %(holds)s already; acid only makes it more.")
            raise Refused("acid", words % {"holds": quantity(bath.acid_g_per_l, "g/L", 3)})
        return grams

    @property
    def said(self) -> str:
        """As it was measured out, or what it is to bring the bath to."""
        return SAID[self.dimension] % {
            "amount": quantity(self.amount, SAID_IN[self.dimension], 4),
            "strength": self.strength,
        }

    def words(self, grams: float) -> str:
        if self.dimension != AIMED_AT:
            return self.said
        return _("%(grams)s of %(acid)s") % {"grams": quantity(grams, "g", 4), "acid": self.said}

    def from_the_shelf(self, grams: float) -> Portion | None:
        """In the unit that its bottle is kept in."""
        if self.jar is None:
            return None
        if self.jar.material.dimension == Dimension.MASS:
            return Portion(self.jar, mass_mg(grams))
        return Portion(self.jar, volume_ul(millilitres(grams, self.strength.percent) / 1000))


def soured(bath: BathState, poured: PouredAcid | None) -> BathState:
    """The bath with it; what no bath is etched in is refused."""
    if poured is None:
        return bath
    [after] = bath_model.replay([poured.added], start=bath)
    if after.acid_g_per_l > sulfuric.MOST_ACID_G_PER_L:
        words = _("That makes %(makes)s, which is no etching bath; look again.")
        raise Refused("acid", words % {"makes": quantity(after.acid_g_per_l, "g/L", decimals=0)})
    return after


def millilitres(grams: float, percent: float) -> float:
    """
    What so many grams of an acid measure.

    >>> round(millilitres(183.55, 96))
    100
    """
    return grams / sulfuric.stock_density_g_per_ml(percent)


def acid_jars() -> list[Container]:
    """Sulfuric acid that stands here, poured or weighed, the oldest open first."""
    poured = Material.objects.filter(dimension__in=(Dimension.MASS, Dimension.VOLUME), bath_use=Material.BathUse.NONE)
    acids = [material.pk for material in poured if is_sulfuric(material)]
    at_hand = Container.objects.at_hand().filter(material__in=acids) if acids else Container.objects.none()
    return list(at_hand.select_related("material").oldest_open_first())


def is_sulfuric(material: Material) -> bool:
    """Whether it is sulfuric acid and water, by its sheet or by its name; a cleaner with some in it is none."""
    parts = {part.substance for part in parts_of(material)}
    return SULFURIC in parts and parts <= {SULFURIC, "water"}


def strength_of(jar: Container) -> AcidStrength | None:
    """By its lot's assay, else by its sheet or the percent in its name; None where nobody wrote that down."""
    if jar.purity is not None:
        return AcidStrength(100 * jar.purity)
    known = [part for part in parts_of(jar.material) if part.substance == SULFURIC]
    # what is only called acid may be battery acid or twice as strong
    if known and (known[0].of_part or known[0].high_percent < 100):
        low, high = known[0].low_percent, known[0].high_percent
        return AcidStrength((low + high) / 2, (high - low) / 2 / HALF_WIDTH_SDS)
    return AcidStrength(100 * jar.material.purity) if jar.material.purity < 1 else None


def strength_at_hand() -> AcidStrength:
    """Of the bottle that comes first; of concentrated acid as it is usually sold where none says."""
    known = (strength_of(jar) for jar in acid_jars())
    return next(filter(None, known), AcidStrength(USUAL_PERCENT))
