"""What orders have to say on the pages of the shelf."""

from collections import defaultdict
from collections.abc import Collection

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from inventory.models import Material
from studio.orders import descriptions, stock
from studio.orders.models import Pack, Supplier
from studio.pages.sections import section_of


@section_of("material")
@section_of("receive")
def on_its_way(material: Material) -> dict[str, SafeString]:
    """What was ordered and has not come: the shelf's own receipt would leave it open."""
    lines = stock.awaited_lines(timezone.now()).filter(pack__material=material)
    asked = [(line, descriptions.is_this_it(line)) for line in lines]
    return {"first": render_to_string("orders/_is_this_it.html", {"asked": asked})}


@section_of("missing sheets")
def whom_to_ask(materials: Collection[Material]) -> dict[str, SafeString]:
    """By the material's key, those who sell it, in one question however many there are."""
    sold = Pack.objects.sold().filter(material__in=materials).select_related("supplier")
    sellers: dict[int, dict[int, Supplier]] = defaultdict(dict)
    for pack in sold.order_by("supplier__name"):
        # a shop with packs of three sizes is named once
        sellers[pack.material_id][pack.supplier_id] = pack.supplier
    return {
        str(material.pk): render_to_string("orders/_sellers.html", {"suppliers": sellers[material.pk].values()})
        for material in materials
    }
