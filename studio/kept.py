"""Pieces of a page kept until what they show changes: the key names everything they depend on."""

from collections.abc import Callable

from django.core.cache import cache
from django.core.cache.utils import make_template_fragment_key
from django.utils.safestring import SafeString

KEPT_FOR_S = 600


def piece(name: str, *depends_on, make: Callable[[], str]) -> SafeString:
    """
    HTML from this worker's memory, made anew when anything it depends on is another.

    Put in the key what the piece shows: revisions, the ten minutes it speaks of, units, role. Never what is personal.
    """
    key = make_template_fragment_key(name, depends_on)
    html: str | None = cache.get(key)
    if html is None:
        html = make()
        cache.set(key, html, KEPT_FOR_S)
    return SafeString(html)
