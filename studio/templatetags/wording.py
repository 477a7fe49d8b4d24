"""Sentences as pages write them; every template has these filters and tags."""

from collections.abc import Sequence
from typing import Any

from django import template
from django.conf import settings
from django.template.base import FilterExpression, Node, NodeList, TokenType, render_value_in_context
from django.templatetags import i18n
from django.utils.translation import gettext

from inventory.wording import translated, translated_text, unit_after

register = template.Library()
register.filter("translated", translated)
register.filter("translated_text", translated_text)
register.filter("unit_after", unit_after)


class Once(Node):
    """
    What depends on the language and a few values alone is made once by each worker, whatever else it keeps.

    The language is the studio's: which one a thread has on costs more to ask than what is kept here.
    """

    def __init__(self, node: Node | NodeList, values: Sequence[FilterExpression] = ()) -> None:
        self.node = node
        self.values = values
        self.made: dict[Any, str] = {}

    def render(self, context):
        key: Any = settings.LANGUAGE_CODE
        if self.values:
            key = (key, *[value.resolve(context) for value in self.values])
        made = self.made.get(key)
        if made is None:
            made = self.made[key] = self.node.render(context)
        return made


class FilledSentence(Node):
    """A whole sentence with named places: said once in each language, and filled anew."""

    def __init__(self, node: i18n.BlockTranslateNode) -> None:
        self.given = node.extra_context
        self.sentence, self.places = node.render_token_list(node.singular)
        self.said: dict[str, str] = {}

    def render(self, context):
        language = settings.LANGUAGE_CODE
        if language not in self.said:
            self.said[language] = self.in_the_language_now()
        return self.said[language] % {place: self.filled(place, context) for place in self.places}

    def in_the_language_now(self) -> str:
        said = gettext(self.sentence)
        try:
            said % dict.fromkeys(self.places, "")
        except (KeyError, ValueError):
            # whoever translated misspelt a place: the page is shown all the same
            return self.sentence
        return said

    def filled(self, place, context):
        value = self.given[place].resolve(context) if place in self.given else context.get(place, "")
        return render_value_in_context(value, context)


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
    if node.countervar or node.asvar or node.message_context:
        return node
    has_places = any(each.token_type != TokenType.TEXT for each in node.singular)
    return FilledSentence(node) if has_places else Once(node)
