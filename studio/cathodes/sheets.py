"""Copper before it reaches a bath: sheet on the shelf and plates, as far as somebody has said how much it holds."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from chemistry.copper import balance, deposition, gauges
from chemistry.copper.balance import NONE
from chemistry.copper.biting import read_by_meter
from chemistry.measured import Measured, digits, total
from chemistry.quantity import quantity, sides
from chemistry.working import Figure
from inventory import months
from inventory.models import Material, Movement
from studio.bites.models import Bite, Plate
from studio.cathodes.models import CopperContent
from studio.cathodes.period import Period
from studio.pages.quantities import MG_PER_G

MM2_PER_CM2 = 100
UM_PER_MM = 1000
KINDS = {
    "received": (Movement.Kind.RECEIVED,),
    "used": (Movement.Kind.USED,),
    "counted": (Movement.Kind.COUNTED, Movement.Kind.KEPT),
}


@dataclass(frozen=True)
class InOne:
    """The copper in one base unit of a material, and how somebody said it."""

    copper: Measured
    words: str


@dataclass(frozen=True, kw_only=True)
class Sheets:
    """
    The sheet of a period, all of it copper: on the shelf at its two ends, bought, taken off, and what became plates.

    contents: by material, the copper in one base unit of it. materials: those, and whatever else is of copper.
    unsized: plates of which nobody has said how thick they are.
    """

    contents: Mapping[int, InOne]
    materials: Sequence[Material]
    before: Measured
    bought: Measured
    counted: Measured
    used: Measured
    now: Measured
    became_plates: Measured
    on_plates: Measured
    plates: int
    unsized: int


def of_a_piece(width_mm: float, height_mm: float, *, thickness_mm: float) -> InOne:
    """
    >>> piece = of_a_piece(152, 203, thickness_mm=1.02)
    >>> round(piece.copper.value), piece.words
    (282, '152 × 203 mm, 1.02 mm thick')
    """
    return in_one_of(
        width_mm * height_mm,
        f"{sides(width_mm, height_mm)}, ",
        thickness_mm,
    )


def of_a_strip(width_mm: float, *, thickness_mm: float) -> InOne:
    """A millimetre of its length."""
    return in_one_of(width_mm, _("%(width_mm)s wide, ") % {"width_mm": quantity(width_mm, "mm")}, thickness_mm)


def of_a_sheet(*, thickness_mm: float) -> InOne:
    """A square millimetre of it."""
    return in_one_of(1.0, "", thickness_mm)


def by_share(percent: float) -> InOne:
    """A milligram of it."""
    return InOne(
        Measured(percent / 100 / MG_PER_G, unit="g"), _("%(percent)s %% copper") % {"percent": digits(percent)}
    )


def in_one_of(mm2: float, words: str, thickness_mm: float) -> InOne:
    sheet = balance.in_sheet(area_cm2=mm2 / MM2_PER_CM2, thickness_mm=thickness_mm)
    return InOne(
        sheet,
        _("%(words)s%(thickness_mm)s thick") % {"words": words, "thickness_mm": gauges.written(1000 * thickness_mm)},
    )


def sheets_in(period: Period, anode: Figure) -> Sheets:
    said = contents_said()
    listed = Material.objects.filter(Q(category=Material.Category.COPPER) | Q(pk__in=said)).with_on_hand()
    materials: list[Any] = list(listed)
    contents = contents_of_sheets(materials) | said
    on_hand = {each.pk: each.on_hand for each in materials}
    later, moved = movements_of(list(contents), period)
    plates = list(Plate.objects.standing().filter(happened_at__lte=period.until))
    sized = [plate for plate in plates if plate.thickness_mm]
    bites = Bite.objects.ended().filter(plate__in=sized, happened_at__lte=period.until, stopped_charge_ah__isnull=False)
    rows = bites.values_list("stopped_charge_ah", "stopped_charge_sd_ah")
    bitten = deposition.predicted(NONE, [read_by_meter(ah, "A·h", sd=sd_ah) for ah, sd_ah in rows], anode)

    def copper(amounts: dict[int, int]) -> Measured:
        # one thickness was measured for all pieces of a material, and it is off for all of them alike
        return total((contents[pk].copper * amount for pk, amount in amounts.items() if amount), "g")

    # counted back from what is on hand: summing all movements would read ten years for one month
    now = {pk: on_hand.get(pk, 0) - later.get(pk, 0) for pk in contents}
    # what moved in the period is taken off again: the shelf at its beginning follows from that at its end
    every_move = {pk: sum(by_kind.get(pk, 0) for by_kind in moved.values()) for pk in contents}
    cut = copper_in_plates([plate for plate in sized if plate.cut_from_id and plate.happened_at >= period.since])
    as_cut = copper_in_plates(sized)
    return Sheets(
        contents=contents,
        materials=materials,
        before=copper({pk: now[pk] - every_move[pk] for pk in contents}),
        bought=copper(moved["received"]),
        counted=copper(moved["counted"]),
        used=copper({pk: -amount for pk, amount in moved["used"].items()}),
        now=copper(now),
        became_plates=cut,
        # what was bitten off is in the bath and would be counted twice
        on_plates=as_cut - bitten,
        plates=len(plates),
        unsized=len(plates) - len(sized),
    )


def known_contents(materials: Iterable[Material]) -> dict[int, InOne]:
    """By material, the copper in one base unit of it: as somebody said last, or of a sheet by its thickness alone."""
    return contents_of_sheets(materials) | contents_said()


def contents_of_sheets(materials: Iterable[Material]) -> dict[int, InOne]:
    """Nobody has to say it of sheet copper: its thickness tells it."""
    return {
        each.pk: of_a_sheet(thickness_mm=each.thickness_um / UM_PER_MM)
        for each in materials
        if each.category == Material.Category.COPPER and each.dimension == Material.Dimension.AREA and each.thickness_um
    }


def contents_said() -> dict[int, InOne]:
    said = CopperContent.objects.standing().order_by("entry__happened_at", "entry_id")
    # in the order in which it was said, so that the last word stays in the dictionary
    return {each.material_id: InOne(Measured(each.grams, each.sd_g, "g"), each.words) for each in said}


def movements_of(materials: Sequence[int], period: Period) -> tuple[dict[int, int], dict[str, dict[int, int]]]:
    """By material: what moved after the period, and what moved in it by its kind."""
    moved = months.between(materials, period.since, period.until)
    after = months.between(materials, period.until + months.MICROSECOND, timezone.now())
    later = {pk: sum(amount for (of, _), amount in after.items() if of == pk) for pk in materials}
    by_kind = {
        name: {pk: sum(moved.get((pk, kind), 0) for kind in those) for pk in materials} for name, those in KINDS.items()
    }
    return later, by_kind


def copper_in_plates(plates: Sequence[Plate]) -> Measured:
    """One calliper has measured them all."""
    return total(
        (
            balance.in_sheet(area_cm2=plate.area_cm2, thickness_mm=plate.thickness_mm or 0.0, calliper="calliper")
            for plate in plates
        ),
        "g",
    )
