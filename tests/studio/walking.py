"""Every page and paper that links lead to, as many of each kind as are asked for."""

import re
from collections import Counter, deque
from collections.abc import Callable, Iterator
from typing import NamedTuple
from urllib.parse import urldefrag, urljoin, urlsplit

from django.urls import Resolver404, resolve

LINK = re.compile(r"""<a\b[^>]*?\bhref=["']([^"'#][^"']*)""")
QUERY_KEY = re.compile(r"(?:^|&)([^=&]+)=")
NOT_WALKED = {"favicon", "people:sign_in", "people:sign_out", "waste:reminders", "bench:everything"}


class Fetched(NamedTuple):
    path: str
    kind: str
    content: bytes

    @property
    def is_page(self) -> bool:
        return self.kind.startswith("text/html")

    @property
    def is_paper(self) -> bool:
        return self.kind.startswith("application/pdf")


def walk(fetch: Callable[[str], tuple[str, bytes]], *, each: int = 1) -> Iterator[Fetched]:
    """
    From the bench on, as many of each kind of address as asked for; those that differ by their values are of one kind.

    fetch: a path -> the type and the content of what stands there.
    """
    seen, of_kind, waiting = {"/"}, Counter[str](), deque(["/"])
    while waiting:
        found = Fetched(waiting[0], *fetch(waiting.popleft()))
        yield found
        for link in LINK.findall(found.content.decode()) if found.is_page else ():
            linked = urldefrag(urljoin(found.path, link.replace("&amp;", "&"))).url
            kind = kind_of(linked)
            if linked not in seen and kind and of_kind[kind] < each:
                of_kind[kind] += 1
                waiting.append(linked)
            seen.add(linked)


def kind_of(linked: str) -> str:
    """Empty for what is not walked."""
    there = urlsplit(linked)
    try:
        name = "" if there.netloc else resolve(there.path).view_name
    except Resolver404:
        return ""
    return "" if name in NOT_WALKED or not name else f"{name}?{sorted(set(QUERY_KEY.findall(there.query)))}"
