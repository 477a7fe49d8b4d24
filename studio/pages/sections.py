"""What later features say on the pages of earlier ones: each in its module `sections`, and no page knows them."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from django.utils.module_loading import autodiscover_modules
from django.utils.safestring import SafeString, mark_safe

Writer = Callable[..., Mapping[str, SafeString]]
WRITERS: dict[str, list[Writer]] = defaultdict(list)


def section_of(page: str) -> Callable[[Writer], Writer]:
    """Let a function write on a page: told what the page shows, it answers what stands in which of its places."""

    def register(write: Writer) -> Writer:
        WRITERS[page].append(write)
        return write

    return register


def sections_of(page: str, **shown: Any) -> dict[str, SafeString]:
    """What all features have to say on a page, by its places, in their order."""
    # at the first page that asks: at import the features would not be ready
    discover_sections()
    written: dict[str, SafeString] = {}
    for write in WRITERS[page]:
        for place, text in write(**shown).items():
            written[place] = mark_safe(written.get(place, "") + text)
    return written


@cache
def discover_sections() -> None:
    autodiscover_modules("sections")
