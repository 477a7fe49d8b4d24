"""
What the press does: WeasyPrint with one set of letters and styles, shared by all papers and used by one at a time.

Nothing but `studio.printing.press` and `studio.printing.job` imports this module, each in a process that ends.
"""

import logging
import re
from base64 import b64encode
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache, lru_cache
from mimetypes import guess_type
from pathlib import Path
from threading import Lock
from typing import Any

import pydyf
from weasyprint import CSS, HTML, Document
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from studio.printing.faces import FACES
from studio.printing.press import PdfNotAccessible

OWN_FILES = "https://static.invalid/"  # an address that cannot exist: nothing on a paper comes from a network
STATIC = Path(__file__).parents[1] / "static"
FONTS = {f"fonts/{face.name}": face for face in FACES}
PAGES_MM = {  # ISO 216; ASME Y14.1
    "A4": (210, 297),
    "A3": (297, 420),
    "Letter": (215.9, 279.4),
    "Ledger": (279.4, 431.8),
}
# how large the letters of html may be, the largest first, on a paper that must stay one sheet
ONE_SHEET, LETTERS_PT = re.compile(r'<body class="[^"]*\bone-sheet\b'), (10.0, 9.7, 9.4, 9.1, 8.8, 8.5, 8.2, 7.9)
# a last page that is filled less far than this part of it is not worth its sheet
ALMOST_EMPTY = 0.35
VARIANT = "pdf/ua-1"
DRAWING = re.compile(r"<svg\b(?P<attributes>[^>]*)>\s*(?:<title>(?P<title>.*?)</title>)?.*?</svg>", re.DOTALL)
CLASS = re.compile(r'\bclass="[^"]*"')


class OwnFiles(URLFetcher):
    """Serves our own static files and data URLs; whatever else a paper asks for stops the press."""

    def fetch(self, url, headers=None):
        if url.startswith("data:"):
            return super().fetch(url, headers)
        name = url.removeprefix(OWN_FILES)
        path = FONTS.get(name, STATIC / name).resolve()
        if not url.startswith(OWN_FILES) or not (name in FONTS or path.is_relative_to(STATIC)) or not path.is_file():
            raise FatalURLFetchingError(f"a paper may not fetch {url}")
        return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": guess_type(url)[0] or ""})


class Complaints(logging.Handler):
    def __init__(self) -> None:
        super().__init__(level=logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


@contextmanager
def accessible() -> Iterator[None]:
    """Refuse what WeasyPrint only logs, such as a picture without a description."""
    handler = Complaints()
    logger = logging.getLogger("weasyprint")
    # what it only logs would still be printed, and claim to be accessible
    logger.addHandler(handler)
    try:
        yield
    finally:
        logger.removeHandler(handler)
    if handler.lines:
        raise PdfNotAccessible("; ".join(handler.lines))


# WeasyPrint is not written for threads, and its fonts are shared by all papers
lock = Lock()
fetcher = OwnFiles(allowed_protocols=("data",), allow_redirects=False, fail_on_errors=True)
# made once: made anew for each paper, letters and styles filled the memory of a worker
fonts = FontConfiguration()
paper_css = CSS(string='@import "paper.css";', base_url=OWN_FILES, url_fetcher=fetcher, font_config=fonts)


@lru_cache
def page_css(page: str, larger: float) -> CSS:
    """A page that is laid out small, to be printed so many times larger."""
    width, height = (side / larger for side in PAGES_MM[page])
    return CSS(string=f"@page {{ size: {width:.2f}mm {height:.2f}mm }}", font_config=fonts)


def render(
    html: str,
    *,
    page: str,
    larger: float = 1.0,
    letters_pt: Sequence[float] = (),
    rules: str = "",
    numbered_from: int | None = None,
    drawn: dict[str, Any] | None = None,
) -> Document:
    """
    The laid out pages of a whole HTML document.

    larger: by how much everything will be enlarged onto its page.
    letters_pt: the letters it may have, the largest first; it gets the first in which it is one sheet, else the last.
    rules: its own, where a paper has measures that somebody chose.
    numbered_from: of what is joined with others the number of its first page; nought leaves its pages unnumbered.
    drawn: the drawings of the sheets before it, which one that shows them again need not keep once more.
    """
    sheets = [paper_css, page_css(page, larger)]
    if rules:
        sheets.append(CSS(string=rules, font_config=fonts))
    if numbered_from is not None:
        # its own number alone: how many pages the whole has is not known while a part of it is laid out
        shown = "counter(page)" if numbered_from else "''"
        numbered = (
            f"@page {{ @bottom-right {{ content: {shown} }} }} @page :first {{ counter-reset: page {numbered_from} }}"
        )
        sheets.append(CSS(string=numbered, font_config=fonts))
    with lock, accessible():
        source = HTML(string=DRAWING.sub(as_picture, html), base_url=OWN_FILES, url_fetcher=fetcher)

        def laid_out(letters: float | None) -> Document:
            own = [CSS(string=f"html {{ font-size: {letters}pt }}", font_config=fonts)] if letters else []
            how = {"font_config": fonts, "pdf_variant": VARIANT, "cache": drawn}
            return source.render(stylesheets=[*sheets, *own], **how)

        if letters_pt:
            return largest_on(1, laid_out, letters_pt)
        if ONE_SHEET.search(html) and len((sheet := largest_on(1, laid_out, LETTERS_PT)).pages) == 1:
            return sheet
        document = laid_out(None)
        if not ends_almost_empty(document):
            return document
        closer = largest_on(len(document.pages) - 1, laid_out, LETTERS_PT[1:])
        return closer if len(closer.pages) < len(document.pages) else document


def ends_almost_empty(document: Document) -> bool:
    """Whether a few lines are all that the last of its pages has."""
    last = document.pages[-1]
    # as an anchor what `print.html` says has its edges on each page: left, top, right, bottom
    *_, bottom = last.anchors.get("main", (last.height,))
    return len(document.pages) > 1 and bottom < ALMOST_EMPTY * last.height


def fit(html: str, *, letters_pt: Sequence[float], rules: str) -> float | None:
    """The largest letters in which something is one page, whatever that measures; None where there are none."""

    @cache
    def fits(number: int) -> bool:
        return len(render(html, page="A4", rules=rules, letters_pt=letters_pt[number : number + 1]).pages) == 1

    number = bisect_left(range(len(letters_pt)), True, key=fits)
    return letters_pt[number] if number < len(letters_pt) else None


def largest_on(pages: int, laid_out: Callable[[float], Document], letters_pt: Sequence[float]) -> Document:
    """In the largest letters that need no more pages, else in the last; few are tried, for most fit the first."""

    @cache
    def document(number: int) -> Document:
        return laid_out(letters_pt[number])

    def fits(number: int) -> bool:
        return len(document(number).pages) <= pages

    if fits(0):
        return document(0)
    return document(min(bisect_left(range(len(letters_pt)), True, lo=1, key=fits), len(letters_pt) - 1))


def as_picture(drawing: re.Match[str]) -> str:
    """
    A drawing as a picture of its own, so that sheets which show the same one share it.

    In the text itself each keeps the styles of its whole sheet: a booklet of 60 pages would take 30 MB more.
    """
    # the engine takes such a drawing without a word, and a screen reader would skip it
    if drawing["title"] is None:
        raise PdfNotAccessible("a drawing has no title to be read aloud")
    named = CLASS.search(drawing["attributes"])
    svg = drawing[0].replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
    source = f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"
    title = drawing["title"].replace('"', "&quot;")
    return f'<img {named[0] if named else ""} alt="{title}" src="{source}">'


def print_alone(html: str, *, page: str, larger: float = 1.0, rules: str = "") -> bytes:
    """A tagged PDF of a whole HTML document, or nothing at all."""
    return write(render(html, page=page, larger=larger, rules=rules), larger=larger)


def write(document: Document, *, larger: float = 1.0) -> bytes:
    with lock, accessible():
        return document.write_pdf(zoom=larger, pdf_variant=VARIANT)


def print_joined(front: Document, parts: Sequence[Document], into: Path) -> None:
    """One tagged PDF, named as its front is; a viewer counts its pages as they are numbered on paper."""
    for document in (front, *parts):
        # the headings of sixty sheets would bury the titles that the outline is opened for
        for page in document.pages:
            page.bookmarks = []
        document.pages[0].bookmarks = [(1, document.metadata.title, (0, 0), "open")]
    pages = [page for document in (front, *parts) for page in document.pages]

    def label_pages(document: Document, pdf: pydyf.PDF) -> None:  # ISO 32000-1, 12.4.2
        # a viewer asked for page 7 then opens the page that has 7 in its corner
        numbered = pydyf.Dictionary({"S": "/D"})
        labels = [0, pydyf.Dictionary({"S": "/r"}), len(front.pages), numbered]
        pdf.catalog["PageLabels"] = pydyf.Dictionary({"Nums": pydyf.Array(labels)})

    with lock, accessible():
        front.copy(pages).write_pdf(into, finisher=label_pages, pdf_variant=VARIANT)
