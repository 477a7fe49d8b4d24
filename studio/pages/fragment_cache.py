"""Parts of a page kept until what they show changes: the key holds everything that they may depend on."""

from collections.abc import Callable, Collection
from contextvars import ContextVar
from datetime import datetime
from enum import StrEnum
from threading import RLock
from typing import Any
from weakref import WeakValueDictionary

from django.core.cache import cache
from django.core.cache.utils import make_template_fragment_key
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from chemistry.bath import MODEL_VERSION
from studio.drawing import qr

KEPT_FOR_S = 600

being_made: WeakValueDictionary[str, RLock] = WeakValueDictionary()
moments_to_come: ContextVar[list[datetime] | None] = ContextVar("moments_to_come", default=None)


class Dependency(StrEnum):
    """What every part of a page depends on, unless it says by name that it does not."""

    ADDRESS = "the address: what it is of, what it asks for, the host that codes lead to"
    BOOK = "what was written and struck"
    CLOCK = "the ten minutes, and the day where the studio is"
    LANGUAGE = "the words"
    MODEL = "the sums of a bath"
    ROLE = "who may do what"
    SETTINGS = "the studio's name, units, region and whatever else it has chosen"


def dependencies(request: Any) -> dict[Dependency, object]:
    """Each of them as it is now; asked once for a request, however many parts its page has."""
    if not hasattr(request, "fragment_dependencies"):
        settings = request.workshop._meta.concrete_fields
        request.fragment_dependencies = {
            # with the host: a part that shows a printed code's address shows another one on another host
            Dependency.ADDRESS: qr.address(request, request.get_full_path()),
            Dependency.BOOK: request.book_revision,
            Dependency.CLOCK: (int(timezone.now().timestamp() // KEPT_FOR_S), timezone.localdate()),
            Dependency.LANGUAGE: get_language(),
            Dependency.MODEL: MODEL_VERSION,
            Dependency.ROLE: request.role,
            # the whole row, so that nobody has to remember which of it a page reads
            Dependency.SETTINGS: [setting.value_from_object(request.workshop) for setting in settings],
        }
    found: dict[Dependency, object] = request.fragment_dependencies
    return found


def fragment_key(name: str, request: Any, *extra: object, regardless_of: Collection[Dependency] = ()) -> str:
    # what is left out of the key is said by name: a key that lists what goes in forgets the setting added last
    found = dependencies(request).items()
    return make_template_fragment_key(name, [*extra, *(value for each, value in found if each not in regardless_of)])


def fragment_or_none(key: str) -> SafeString | None:
    """The part of that key, if this worker has it."""
    html: str | None = cache.get(key)
    return None if html is None else SafeString(html)


def cached_fragment(
    name: str,
    request: Any,
    *extra: object,
    regardless_of: Collection[Dependency] = (),
    make: Callable[[], str],
) -> SafeString:
    """
    HTML from this worker's memory, made anew when anything it depends on is another. Nothing personal is put in it.

    extra: what it depends on besides. regardless_of: what it shows nothing of.
    """
    key = fragment_key(name, request, *extra, regardless_of=regardless_of)
    html = fragment_or_none(key)
    if html is None:
        # after each write many ask for the same part at once: one makes it, and the others have it as soon
        with being_made.setdefault(key, RLock()):
            html = fragment_or_none(key)
            return made_anew(key, make) if html is None else html
    return html


def made_anew(key: str, make: Callable[[], str]) -> SafeString:
    moments: list[datetime] = []
    outside = moments_to_come.set(moments)
    try:
        html = SafeString(make())
    finally:
        moments_to_come.reset(outside)
    now = timezone.now()
    # a part that says "until 10:02" would otherwise still say so at 10:05
    seconds = [max((moment - now).total_seconds(), 0) for moment in moments]
    cache.set(key, html, min([KEPT_FOR_S, *seconds]))
    return html


def expires_at(moment: datetime) -> None:
    """Said while a part is made, by what it shows that turns into something else by itself at a moment to come."""
    moments = moments_to_come.get()
    if moments is not None:
        moments.append(moment)
