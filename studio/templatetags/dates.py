"""Days as pages write them; every template has these filters."""

from django import template

from inventory.dates import day_of_year, long_day, long_moment, long_month, short_day

register = template.Library()


def of_what_is_known(say):
    return lambda on: say(on) if on else ""


for say in (long_day, short_day, day_of_year, long_month, long_moment):
    register.filter(say.__name__, of_what_is_known(say))
