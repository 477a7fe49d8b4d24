"""What one cell of a list says, or why nobody can tell."""

from datetime import date

from django.utils.translation import gettext as _

from chemistry import units
from inventory.models import Material

BathUse = Material.BathUse
BATH_USES = {
    "blue crystals": BathUse.BLUE_CRYSTALS,
    "pale powder": BathUse.PALE_POWDER,
    "monohydrate": BathUse.MONOHYDRATE,
    **{words.casefold(): use for use in BathUse for words in (use.value, use.label)},
}
MEASURED_BY = {
    **dict.fromkeys(Material.BATH_SALTS, Material.Dimension.MASS),
    BathUse.WATER: Material.Dimension.VOLUME,
}


class CellNotUnderstood(ValueError):
    """Why one row cannot be brought in."""


def day(text: str, what: str, *, not_after: date | None = None) -> date | None:
    if not text:
        return None
    try:
        read = date.fromisoformat(text)
    except ValueError:
        raise CellNotUnderstood(
            _("“%(text)s” under %(what)s is no day; write it like 2026-03-31.") % {"text": text, "what": what}
        ) from None
    if not_after and read > not_after:
        raise CellNotUnderstood(_("%(text)s under %(what)s has not come yet.") % {"text": text, "what": what})
    return read


def bath_use(text: str, dimension: str) -> str:
    """
    >>> bath_use("Blue crystals", "mass"), bath_use("", "count")
    (Material.BathUse.BLUE_CRYSTALS, Material.BathUse.NONE)
    """
    use = BATH_USES.get(text.casefold())
    if use is None:
        raise CellNotUnderstood(
            _("“%(text)s” is nothing in a bath; write blue crystals, pale powder, water or nothing.") % {"text": text}
        )
    if MEASURED_BY.get(use, dimension) != dimension:
        raise CellNotUnderstood(
            _("What is %(text)s in a bath is measured by %(MEASURED_BY)s, not by %(dimension)s.")
            % {"text": text, "MEASURED_BY": MEASURED_BY[use], "dimension": dimension}
        )
    return use


def purity(text: str) -> float:
    """
    A share, written as one or in percent.

    >>> purity("98 %"), purity("0.98"), purity("")
    (0.98, 0.98, 1.0)
    """
    if not text:
        return 1.0
    try:
        number = float(units.parse_number(text.removesuffix("%").strip()))
    except units.NotUnderstood:
        raise CellNotUnderstood(
            _("“%(text)s” under purity is no number; write it like 98 %%.") % {"text": text}
        ) from None
    # 98 and 0.98 mean the same on a pack; 1 is the whole, not one percent
    share = number / 100 if text.endswith("%") or number > 1 else number
    if not 0 < share <= 1:
        raise CellNotUnderstood(_("A purity of %(text)s is outside 0 to 100 %%.") % {"text": text})
    return share


def shown_unit(text: str, dimension: str) -> str:
    """The unit that a new material is shown in: the one its list was written in."""
    written = text.casefold().rstrip(". 2²")  # 12x18 in is shown in in²
    own = [unit.name for unit in units.UNITS[dimension] if written.endswith(unit.name.casefold().rstrip("2"))]
    # the longest of them, because kg ends with g as well
    return max(own, key=len, default=units.UNITS[dimension][1 if dimension in ("mass", "volume") else 0].name)
