"""What stands in a studio that etches copper as a rule, by kind: to be ticked, where there is no list to bring in."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from chemistry import locale, units
from chemistry.hazards.substances import SUBSTANCES
from inventory.guessing import UNSORTED, category_of
from inventory.models import Material
from inventory.wording import translated_text

Category = Material.Category
# common practice, no source: what is neither weighed nor poured, and in what it is counted
THINGS: Mapping[str, tuple[tuple[str, str], ...]] = {
    Category.GROUNDS: ((_("Hard ground"), "mL"), (_("Soft ground"), "mL")),
    Category.STOP_OUT: ((_("Stop-out varnish"), "mL"),),
    Category.TAPES: ((_("Plater’s tape"), "roll"), (_("Adhesive film"), "roll")),
    Category.CLEANERS: ((_("Dish soap"), "mL"),),
    Category.SPILL: ((_("Absorbent granules"), "kg"),),
    Category.ABRASIVES: ((_("Wet-and-dry paper"), "sheet"), (_("Scrubbing pads"), "pad")),
    Category.STRAINING: ((_("Coffee filters"), "piece"), (_("Funnel"), "piece")),
    Category.PROTECTION: ((_("Nitrile gloves"), "box"), (_("Goggles"), "piece"), (_("Apron"), "piece")),
    Category.INK: (
        (_("Etching ink, black"), "tin"),
        (_("Tarlatan"), "m"),
        (_("Printing paper"), "sheet"),
        (_("Newsprint"), "sheet"),
    ),
}
# what a bath makes, or what nobody buys for it
NOT_BOUGHT = frozenset(
    ("copper_metal_fine", "copper_basic_carbonate", "copper_hydroxide", "copper_metal_massive", "brass", "steel")
)
BOUGHT_AS = {
    "copper_sulfate_pentahydrate": _("Copper sulfate, blue crystals"),
    "copper_sulfate_anhydrous": _("Copper sulfate, pale powder"),
    "copper_sulfate_monohydrate": _("Copper sulfate monohydrate"),
    "lacquer_thinner_generic": _("Lacquer thinner"),
    "water": _("Distilled water"),
}
# as it is sold where thickness is read so: the name tells the book how thick it is
SHEETS = {"mm": _("Copper sheet 1 mm"), "in": _("Copper sheet 20 oz/ft²"), "mil": _("Copper sheet 40 mil")}
BATH_USE = {
    **{use.value: use for use in Material.BATH_SALTS},
    "water": Material.BathUse.WATER,
}


@dataclass(frozen=True)
class UsualThing:
    name: str
    category: str
    unit: str
    bath_use: str = ""

    @property
    def dimension(self) -> str:
        return units.dimension_of(self.unit)

    @property
    def unit_here(self) -> str:
        """What is weighed is bought by the pound where it is not bought by the gram."""
        return units.own("kg") if self.unit == "g" and units.is_customary("mass") else units.own(self.unit)


def things_by_kind() -> dict[str, list[UsualThing]]:
    """
    The substances the sums know, and what is counted beside them, named in the language of the studio.

    >>> [thing.unit for thing in things_by_kind()["Solvents and thinners"] if thing.name == "Turpentine"]
    ['mL']
    """
    found = {
        category: [UsualThing(gettext(name), category, unit) for name, unit in THINGS.get(category, ())]
        for category in (*Category.values, UNSORTED)
    }
    found[Category.COPPER].append(UsualThing(gettext(SHEETS[locale.current().thickness]), Category.COPPER, "cm2"))
    for substance in SUBSTANCES.values():
        if substance.state in ("solid", "liquid") and substance.key not in NOT_BOUGHT:
            name = translated_text(BOUGHT_AS.get(substance.key) or substance.name)
            use = BATH_USE.get(substance.key, Material.BathUse.NONE)
            category = Category.BATH if use else category_of(substance.name)
            unit = "g" if substance.state == "solid" else "mL"
            found[category].append(UsualThing(name[:1].upper() + name[1:], category, unit, use))
    return {kind: sorted(things, key=lambda thing: thing.name) for kind, things in found.items() if things}
