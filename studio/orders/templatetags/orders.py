from django import template

from studio.orders import prices, sayings

register = template.Library()

register.filter("money", prices.show)
register.filter("awaited", sayings.awaited)
