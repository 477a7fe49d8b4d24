"""Everything of the shelf that a label would say something about: the most severe first."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import JSONObject
from django.utils.translation import gettext_lazy

from inventory.models import Material, SafetySheet
from studio.hazards import classification
from studio.hazards.classification import Hazards
from studio.hazards.models import SupplierClasses
from studio.orders.models import Supplier
from studio.workshop.models import Workshop

AT_ONCE = 500
# what stands under these needs no sheet unless something else is known of it: wax, paper, tools, plates
NO_CHEMICALS = ("", "general", "combustible", gettext_lazy("reactive metal"), "steel")


@dataclass(frozen=True, kw_only=True)
class ShelfHazards:
    """
    A material and what is known of its hazards.

    sheet_pk, sheet_on: its supplier's sheet, None where none is on file.
    whom_to_ask: who sells it, and how to reach them.
    """

    material: Material
    hazards: Hazards
    sheet_pk: int | None
    sheet_on: date | None
    whom_to_ask: str


def asked_about() -> QuerySet[Material]:
    """What is poured or weighed or stands among chemicals, and whatever else something hazardous is known of."""
    # tape with a flash point on record is a chemical, whatever it is filed under
    others = Material.objects.filter(
        ~Q(composition=[])
        | Exists(SupplierClasses.objects.standing().filter(material=OuterRef("pk")))
        | Q(flash_point_c__isnull=False)
        | ~Q(storage_group__in=NO_CHEMICALS)
    )
    return (Material.objects.needing_sheet() | others).order_by("name")


def asked_about_then(materials: Sequence[Material], at: datetime) -> set[Material]:
    """Those that `asked_about` would have named at a moment, of materials with the facts of that moment."""
    # not asked of the database: its rows have the facts of today
    said = SupplierClasses.latest_of(materials, at)
    return {
        each
        for each in materials
        if each.needs_sheet
        or each.composition
        or each.pk in said
        or each.flash_point_c is not None
        or each.storage_group not in NO_CHEMICALS
    }


def rows(workshop: Workshop, said: Mapping[int, SupplierClasses] | None = None) -> list[ShelfHazards]:
    """The most severe first, what needs info before what is known not to be classified; two queries."""
    sheet = SafetySheet.objects.standing().filter(material=OuterRef("pk"))
    reached_by = JSONObject(name="name", contact="contact", phone="phone", link="link")
    sellers = Supplier.objects.filter(packs__material=OuterRef("pk"), packs__is_sold=True).order_by("name", "pk")
    asked = asked_about().annotate(
        sheet_pk=Subquery(sheet.values("pk")[:1]),
        sheet_on=Subquery(sheet.values("dated_on")[:1]),
        # in one piece: a subquery for each of the four would look for the seller four times
        seller=Subquery(sellers.values(reached_by=reached_by)[:1]),
    )
    materials: list[Any] = list(asked[:AT_ONCE])
    found = classification.classify_materials(materials, workshop.region, sheets=said)
    made = []
    for each in materials:
        seller = Supplier(**each.seller) if each.seller else None
        made.append(
            ShelfHazards(
                material=each,
                hazards=found[each.pk],
                sheet_pk=each.sheet_pk,
                sheet_on=each.sheet_on,
                whom_to_ask=": ".join(filter(None, (seller.name, seller.reached_at))) if seller else "",
            )
        )
    return sorted(made, key=lambda row: (row.hazards.rank, row.material.name))


def in_groups(rows: Sequence[ShelfHazards]) -> dict[str, list[ShelfHazards]]:
    """By the word of their label, in the order of the rows."""
    groups: dict[str, list[ShelfHazards]] = {}
    for row in rows:
        groups.setdefault(row.hazards.word, []).append(row)
    return groups
