"""
The printing press: WeasyPrint with one set of letters and styles, shared by all papers and used by one at a time.

Import this module late: it takes half a second.
"""

import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager
from mimetypes import guess_type
from pathlib import Path
from threading import Lock

from django.contrib.staticfiles import finders
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

OWN_FILES = "https://static.invalid/"  # an address that cannot exist: nothing on a paper comes from a network
PAGES = ("A4", "Letter")


class PdfNotAccessible(Exception):
    """The press complained; a sheet that claims to be accessible and is not must not leave it."""


class OwnFiles(URLFetcher):
    """Serves our own static files and data URLs; whatever else a paper asks for stops the press."""

    def fetch(self, url, headers=None):
        if url.startswith("data:"):
            return super().fetch(url, headers)
        path = finders.find(url.removeprefix(OWN_FILES)) if url.startswith(OWN_FILES) else None
        if not path:
            raise FatalURLFetchingError(f"a paper may not fetch {url}")
        return URLFetcherResponse(url, Path(path).read_bytes(), {"Content-Type": guess_type(url)[0] or ""})


class _Complaints(logging.Handler):
    def __init__(self) -> None:
        super().__init__(level=logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """What WeasyPrint only logs, such as a picture without a description."""
    handler = _Complaints()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(handler)
    try:
        yield handler.lines
    finally:
        logger.removeHandler(handler)


_NAMELESS_DRAWING = re.compile(r"<svg\b[^>]*>(?!\s*<title>)")

_lock = Lock()
fetcher = OwnFiles(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
fonts = FontConfiguration()
_paper = CSS(string='@import "paper.css";', base_url=OWN_FILES, url_fetcher=fetcher, font_config=fonts)
_sizes = {page: CSS(string=f"@page {{ size: {page} }}", font_config=fonts) for page in PAGES}


def styles(page: str) -> list[CSS]:
    """The paper's own style and its size."""
    return [_paper, _sizes[page]]


def _numbers(first: int | None) -> list[CSS]:
    """Its own number alone: how many pages the whole has is not known while a part of it is printed."""
    if first is None:
        return []
    shown = "counter(page)" if first else "''"
    rules = f"@page {{ @bottom-right {{ content: {shown} }} }} @page :first {{ counter-reset: page {first} }}"
    return [CSS(string=rules, font_config=fonts)]


def press(html: str, *, page: str, numbered_from: int | None = None) -> bytes:
    """
    A tagged PDF of a whole HTML document, or nothing at all.

    numbered_from: of what is bound with others the number of its first page; nought leaves its pages unnumbered.
    """
    if _NAMELESS_DRAWING.search(html):
        raise PdfNotAccessible("a drawing has no title to be read aloud")
    with _lock, _complaints() as complaints:
        document = HTML(string=html, base_url=OWN_FILES, url_fetcher=fetcher)
        sheets = [*styles(page), *_numbers(numbered_from)]
        pdf = document.write_pdf(stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1")
    if complaints:
        raise PdfNotAccessible("; ".join(complaints))
    return pdf
