from django import template
from django.utils import timezone

from studio.orders import prices, sayings, stock

register = template.Library()

register.filter("money", prices.show)
register.filter("awaited", sayings.awaited)
register.filter("is_this_it", sayings.is_this_it)


@register.inclusion_tag("orders/_is_this_it.html")
def on_its_way(material):
    """What was ordered of a material and has not come: for the shelf, whose own receipt would leave it open."""
    return {"lines": stock.awaited_lines(timezone.now()).filter(pack__material=material)}


@register.filter
def unit_price(line, currency):
    """What a line of the costs was reckoned at."""
    return prices.per_unit(line.price.cents, 1, line.material.dimension, currency)
