"""Sentences as pages write them; every template has these filters and tags."""

from django import template
from django.template.base import Node, TokenType
from django.templatetags import i18n
from django.utils.translation import get_language

from inventory.wording import translated, translated_text

register = template.Library()
register.filter("translated", translated)
register.filter("translated_text", translated_text)


class OncePerLanguage(Node):
    """A sentence without places is looked up once by each worker: a page has dozens of them."""

    def __init__(self, node: Node) -> None:
        self.node = node
        self.said: dict[str | None, str] = {}

    def render(self, context):
        language = get_language()
        if language not in self.said:
            self.said[language] = self.node.render(context)
        return self.said[language]


@register.tag
def translate(parser, token):
    node = i18n.do_translate(parser, token)
    known = node.filter_expression
    is_plain = not (node.asvar or node.message_context or node.noop or known.filters) and known.var.lookups is None
    return OncePerLanguage(node) if is_plain else node


@register.tag
def blocktranslate(parser, token):
    node = i18n.do_block_translate(parser, token)
    has_places = any(each.token_type != TokenType.TEXT for each in (*node.singular, *node.plural))
    is_plain = not (has_places or node.extra_context or node.countervar or node.asvar or node.message_context)
    return OncePerLanguage(node) if is_plain else node
