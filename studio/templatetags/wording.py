"""Sentences as pages write them; every template has these filters and tags."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django import template
from django.conf import settings
from django.template import Context
from django.template.base import FilterExpression, Node, NodeList, TextNode, VariableNode
from django.templatetags import i18n
from django.utils import translation

from inventory.wording import translated, translated_text, unit_after

PLACE = re.compile(r"%\(([^)]+)\)s")

register = template.Library()
register.filter("translated", translated)
register.filter("translated_text", translated_text)
register.filter("unit_after", unit_after)


class Once(Node):
    """
    What depends on the language and a few values alone is made once by each worker, whatever else it keeps.

    A studio speaks one language for as long as its server runs.
    """

    def __init__(self, inside: NodeList, values: Sequence[FilterExpression]) -> None:
        self.inside = inside
        self.values = values
        self.made: dict[Any, str] = {}

    def render(self, context):
        key = tuple([value.resolve(context) for value in self.values])
        made = self.made.get(key)
        if made is None:
            made = self.made[key] = self.inside.render(context)
        return made


class Filled(Node):
    """A whole sentence with named places, taken apart at them when its template is read."""

    def __init__(self, said: str, places: Mapping[str, FilterExpression]) -> None:
        # a text, the name of a place, a text, and so on
        self.parts = NodeList(
            VariableNode(places[part]) if at % 2 else TextNode(part.replace("%%", "%"))
            for at, part in enumerate(PLACE.split(said))
        )

    def render(self, context):
        return self.parts.render(context)


@register.tag
def once(parser, token):
    """`{% once here %}…{% endonce %}`: nothing of whoever asks, of the book or of the clock is in it."""
    values = [parser.compile_filter(each) for each in token.split_contents()[1:]]
    inside = parser.parse(("endonce",))
    parser.delete_first_token()
    return Once(inside, values)


@register.tag
def translate(parser, token):
    node = i18n.do_translate(parser, token)
    known = node.filter_expression
    is_plain = not (node.asvar or node.message_context or node.noop or known.filters) and known.var.lookups is None
    if not is_plain:
        return node
    with translation.override(settings.LANGUAGE_CODE):
        return TextNode(node.render(Context()))


@register.tag
def blocktranslate(parser, token):
    node = i18n.do_block_translate(parser, token)
    if node.countervar or node.asvar or node.message_context:
        return node
    sentence, names = node.render_token_list(node.singular)
    places = {name: node.extra_context.get(name) or parser.compile_filter(name) for name in names}
    said = in_the_studios_language(sentence, places)
    return Filled(said, places) if places else TextNode(said % {})


def in_the_studios_language(sentence: str, places: Iterable[str]) -> str:
    with translation.override(settings.LANGUAGE_CODE):
        said = translation.gettext(sentence)
    try:
        said % dict.fromkeys(places, "")
    except (KeyError, ValueError):
        # whoever translated misspelt a place: the page is shown all the same
        return sentence
    return said
