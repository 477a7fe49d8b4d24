"""Pieces of a page kept until what they show changes: the key names everything they depend on."""

import time
from collections.abc import Callable
from contextvars import ContextVar
from datetime import datetime

from django.core.cache import cache
from django.core.cache.utils import make_template_fragment_key
from django.utils import timezone
from django.utils.safestring import SafeString

KEPT_FOR_S = 600

_moments: ContextVar[list[datetime] | None] = ContextVar("moments", default=None)


def ten_minutes() -> int:
    """Which ten minutes these are: what moves with the clock is made anew in the next ones."""
    return int(time.time() // KEPT_FOR_S)


def expires_at(moment: datetime) -> None:
    """Said while a piece is made, by what it shows that turns into something else by itself at a moment to come."""
    moments = _moments.get()
    if moments is not None:
        moments.append(moment)


def fragment_or_none(name: str, *depends_on) -> SafeString | None:
    """The piece of that name and key, if this worker has it."""
    html: str | None = cache.get(make_template_fragment_key(name, depends_on))
    return None if html is None else SafeString(html)


def cached_fragment(name: str, *depends_on, make: Callable[[], str]) -> SafeString:
    """
    HTML from this worker's memory, made anew when anything it depends on is another.

    Put in the key what the piece shows: revisions, the ten minutes it speaks of, units, role. Never what is personal.
    """
    html = fragment_or_none(name, *depends_on)
    if html is None:
        html, seconds = _made(make)
        cache.set(make_template_fragment_key(name, depends_on), html, seconds)
    return html


def _made(make: Callable[[], str]) -> tuple[SafeString, float]:
    """A piece, and for how many seconds it stays true."""
    moments: list[datetime] = []
    outside = _moments.set(moments)
    try:
        html = SafeString(make())
    finally:
        _moments.reset(outside)
    now = timezone.now()
    return html, min([KEPT_FOR_S, *(max((moment - now).total_seconds(), 0) for moment in moments)])
