"""Days as pages write them; every template has these filters."""

from django import template

from inventory.dates import (
    brief_day,
    brief_day_of_week,
    clock,
    day_of_week,
    day_of_year,
    long_day,
    long_moment,
    long_month,
    moment_of_year,
    short_day,
)

register = template.Library()


def of_what_is_known(say):
    return lambda on: say(on) if on else ""


for say in (
    *(long_day, short_day, brief_day, day_of_week, brief_day_of_week, day_of_year, long_month),
    *(long_moment, moment_of_year, clock),
):
    register.filter(say.__name__, of_what_is_known(say))
