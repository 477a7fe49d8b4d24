"""Copper sulfate with its five waters, with one or with none: what one is worth in the other, and what it takes up."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from chemistry.hazards.substances import SUBSTANCES
from chemistry.measured import plain
from chemistry.quantity import quantity
from inventory import guessing
from inventory.models import Material
from inventory.refusals import Refused
from studio.pages.quantities import grams

BathUse = Material.BathUse

COPPER_SULFATES = {
    BathUse.BLUE_CRYSTALS: gettext_lazy("blue crystals"),
    BathUse.PALE_POWDER: gettext_lazy("pale powder"),
    BathUse.MONOHYDRATE: "monohydrate",
}
LOOKS = [
    (BathUse.BLUE_CRYSTALS, gettext_lazy("blue crystals (CAS 7758-99-8)")),
    (BathUse.PALE_POWDER, gettext_lazy("pale, grey-white powder (CAS 7758-98-7)")),
    (BathUse.MONOHYDRATE, gettext_lazy("pale blue-grey powder, monohydrate (CAS 10257-54-2)")),
]


def blue_crystals_per_g(bath_use: str) -> float:
    """Grams of blue crystals that bring a bath as much copper as a gram of this; nought when it is no bath salt."""
    substance = SUBSTANCES.get(bath_use)
    return (substance.blue_crystals_per_g or 0.0) if substance else 0.0


def refuse_unreasoned(material: str, bath_use: str, note: str) -> None:
    """Whoever says no to a salt gives the reason in the note, which stays in the log beside it."""
    if bath_use == BathUse.NONE and guessing.sounds_like_copper_sulfate(material) and not note.strip():
        said = _(
            "“%(material)s” sounds like copper sulfate: blue crystals or pale powder? Powder counts as %(times)s times "
            "its weight. If it is neither, say why in the note."
        )
        times = plain(blue_crystals_per_g(BathUse.PALE_POWDER), 2)
        raise Refused("bath_use", said % {"material": material, "times": times})


def worth(amount_mg: int, bath_use: str, *, in_terms_of: str) -> str:
    """
    What a weighed amount of one is worth in the other.

    >>> worth(1_000_000, BathUse.PALE_POWDER, in_terms_of=BathUse.BLUE_CRYSTALS)
    '1564 g of blue crystals'
    >>> worth(1_000_000, BathUse.BLUE_CRYSTALS, in_terms_of=BathUse.PALE_POWDER)
    '639 g of pale powder'
    """
    counted_g = grams(amount_mg) * blue_crystals_per_g(bath_use) / blue_crystals_per_g(in_terms_of)
    return _("%(counted_g)s of %(COPPER_SULFATES)s") % {
        "counted_g": quantity(counted_g, "g", decimals=0),
        "COPPER_SULFATES": COPPER_SULFATES[BathUse(in_terms_of)],
    }


def takes_up_ml(amount_mg: int, bath_use: str) -> float:
    """
    The water of a bath that a weighed amount binds; a gram of it fills a millilitre as near as anybody measures.

    >>> round(takes_up_ml(1_000_000, BathUse.PALE_POWDER)), takes_up_ml(1_000_000, BathUse.BLUE_CRYSTALS)
    (564, 0.0)
    """
    return grams(amount_mg) * max(0.0, blue_crystals_per_g(bath_use) - 1)


def counted(amount_mg: int, bath_use: str, assay: float = 1.0) -> str:
    """
    How a salt counts in a bath, its impurities taken off; empty where it counts as what it weighs.

    >>> counted(1_000_000, BathUse.PALE_POWDER), counted(1_000_000, BathUse.BLUE_CRYSTALS)
    ('1564 g of blue crystals and takes up 564 mL of water', '')
    >>> counted(1_000_000, BathUse.MONOHYDRATE, 0.95), counted(1_000_000, BathUse.BLUE_CRYSTALS, 0.98)
    ('1335 g of blue crystals and takes up 385 mL of water', '980 g of blue crystals')
    """
    per_g = blue_crystals_per_g(bath_use)
    if not per_g or per_g * assay == 1:
        return ""
    pure_mg = round(amount_mg * assay)
    worth_in_blue = worth(pure_mg, bath_use, in_terms_of=BathUse.BLUE_CRYSTALS)
    if per_g == 1:
        return worth_in_blue
    return _("%(worth_in_blue)s and takes up %(amount_mg)s of water") % {
        "worth_in_blue": worth_in_blue,
        "amount_mg": quantity(takes_up_ml(pure_mg, bath_use), "mL", decimals=0),
    }
