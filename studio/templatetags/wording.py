"""Sentences as pages write them; every template has these filters and tags."""

from collections.abc import Sequence

from django import template
from django.template.base import FilterExpression, Node, NodeList, TokenType
from django.templatetags import i18n
from django.utils.translation import get_language

from inventory.wording import translated, translated_text, unit_after

register = template.Library()
register.filter("translated", translated)
register.filter("translated_text", translated_text)
register.filter("unit_after", unit_after)


class Once(Node):
    """What depends on the language and a few values alone is made once by each worker, whatever else it keeps."""

    def __init__(self, node: Node | NodeList, values: Sequence[FilterExpression] = ()) -> None:
        self.node = node
        self.values = values
        self.made: dict[tuple[object, ...], str] = {}

    def render(self, context):
        key = (get_language(), *(value.resolve(context) for value in self.values))
        if key not in self.made:
            self.made[key] = self.node.render(context)
        return self.made[key]


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
    return Once(node) if is_plain else node


@register.tag
def blocktranslate(parser, token):
    node = i18n.do_block_translate(parser, token)
    has_places = any(each.token_type != TokenType.TEXT for each in (*node.singular, *node.plural))
    is_plain = not (has_places or node.extra_context or node.countervar or node.asvar or node.message_context)
    return Once(node) if is_plain else node
