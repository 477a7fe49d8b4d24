from django import template

from inventory import facts

register = template.Library()


@register.inclusion_tag("components/fact_history.html")
def fact_history(thing):
    """What changed about a thing, folded, with its number; nothing where nothing did."""
    return {"history": facts.history(thing)}
