"""Numbers as pages write them; every template has these filters. What is not known is left out."""

from math import inf

from django import template

import chemistry.quantity
from chemistry import measured
from studio.pages import quantities

register = template.Library()


@register.filter
def digits(value, most=6):
    return "" if value in (None, "") else measured.digits(float(value), most)


@register.filter
def decimals(value, number):
    return "" if value in (None, "") else measured.plain(float(value), number)


@register.filter
def displayed(value):
    return "" if value in (None, "") else quantities.displayed(value)


@register.filter
def quantity(value, told):
    """told: the unit of the sums, and the digits that count behind it, such as "L 3"."""
    unit, _, most = told.partition(" ")
    return "" if value in (None, "") else chemistry.quantity.quantity(value, unit, int(most or 6))


@register.filter
def read_as(value, unit):
    """What goes into a sum in one unit, as it is read here in another."""
    return chemistry.quantity.read_as(value, unit)


@register.filter
def whole(value, unit):
    """Without decimals in the unit of the sums."""
    return "" if value in (None, "") else chemistry.quantity.quantity(value, unit, decimals=0)


@register.filter
def unit_here(unit):
    """What the heads of a table call a unit of the sums."""
    return chemistry.quantity.read_in(unit, inf)[0]


@register.filter
def number_here(value, unit):
    """A number under such a head."""
    return "" if value in (None, "") else measured.digits(value / chemistry.quantity.read_in(unit, inf)[1], 3)


@register.filter
def per_unit_here(value, unit):
    """So much to each of a unit of the sums, to each of what it is read in."""
    return "" if value in (None, "") else measured.digits(value * chemistry.quantity.read_in(unit, inf)[1], 3)
