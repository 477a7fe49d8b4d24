from django import template

from studio.orders import prices

register = template.Library()

register.filter("money", prices.show)


@register.filter
def unit_price(line, currency):
    """What a line of the costs was reckoned at."""
    return prices.per_unit(line.price.cents, 1, line.material.dimension, currency)
