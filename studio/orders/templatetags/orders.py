from collections import defaultdict

from django import template
from django.utils import timezone

from studio.orders import descriptions, prices, stock
from studio.orders.models import Pack

register = template.Library()

register.filter("money", prices.show)
register.filter("awaited", descriptions.awaited)
register.filter("is_this_it", descriptions.is_this_it)


@register.inclusion_tag("orders/_is_this_it.html")
def on_its_way(material):
    """What was ordered of a material and has not come: for the shelf, whose own receipt would leave it open."""
    return {"lines": stock.awaited_lines(timezone.now()).filter(pack__material=material)}


@register.simple_tag
def with_suppliers(materials):
    """Each material with those who sell it, in one question however many they are."""
    sold = Pack.objects.sold().filter(material__in=list(materials)).select_related("supplier")
    sellers = defaultdict(dict)
    for pack in sold.order_by("supplier__name"):
        sellers[pack.material_id][pack.supplier_id] = pack.supplier
    return [(material, list(sellers[material.pk].values())) for material in materials]


@register.filter
def unit_price(line, currency):
    """What a line of the costs was reckoned at."""
    return prices.per_unit(line.price.cents, 1, line.material.dimension, currency)
