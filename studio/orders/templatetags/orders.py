from django import template

from studio.orders import prices

register = template.Library()

register.filter("money", prices.show)
register.filter("total", prices.total)


@register.filter
def concat(text, more):
    """An address with a number behind it."""
    return f"{text}{more}"


@register.filter
def unit_price(line, currency):
    """What a line of the costs was reckoned at."""
    return prices.per_unit(line.price.cents, 1, line.material.dimension, currency)
