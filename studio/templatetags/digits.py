"""Numbers as pages write them: no exponent, and no digit that their spread does not earn."""

from django import template

from chemistry.measured import digits
from studio.pages.quantities import displayed

register = template.Library()
register.filter("digits", digits)
register.filter("displayed", displayed)
