"""Sentences of the sums as pages write them; every template has these filters."""

from django import template

from inventory.wording import translated, translated_text

register = template.Library()
register.filter("translated", translated)
register.filter("translated_text", translated_text)
