"""Numbers as pages write them; every template has these filters. What is not known is left out."""

from django import template

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
