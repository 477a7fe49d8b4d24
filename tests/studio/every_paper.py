"""Every paper of a book as it goes to the printer, wherever links and print jobs lead."""

from collections.abc import Iterator
from typing import NamedTuple

import pytest
from django.test import Client
from django.urls import reverse
from weasyprint.formatting_structure.boxes import LineBox, ReplacedBox, TableCellBox, TextBox

from studio.printing import papers, pdf, press, print_jobs
from studio.printing.job import PAGE_OF
from tests.studio.walking import walk

OTHER = {"A4": "Letter", "Letter": "A4", "A3": "Ledger", "Ledger": "A3"}
LEAST_FILLED = 0.2


class Paper(NamedTuple):
    """What was asked of the press; at: the page that asked."""

    at: str
    template: str
    html: str
    page: str
    larger: float = 1.0
    rules: str = ""

    @property
    def is_cut(self) -> bool:
        """Whether it is a label or a sticker, whose words have a size and no title of their own."""
        return "data-title=" not in self.html

    def laid_out(self, size: str) -> list:
        """Its pages, on a studio's paper or on the one of twice its area."""
        page = size if size in (self.page, OTHER[self.page]) else papers.TWICE[size]
        return pdf.render(PAGE_OF.sub("1", self.html), page=page, larger=self.larger, rules=self.rules).pages


def every_paper(browser: Client, *more: str) -> list[Paper]:
    """One of each kind of address, and these; of what is printed aside each part."""
    asked: list[Paper] = []
    at, made_of = "", {}
    begun, made = print_jobs.begin, papers.html

    def make(template_name, context, **how):
        html = made(template_name, context, **how)
        made_of[html] = template_name
        return html

    def take(html, **how):
        asked.append(Paper(at, made_of[html], html, **how))
        return b"%PDF"

    def begin(front, parts, *, page):
        asked.extend(Paper(at, made_of[part.html], part.html, page) for part in (front, *parts))
        return begun(front, parts, page=page)

    def fetch(path):
        nonlocal at
        at = path
        response = browser.get(path)
        content = b"".join(response) if response.streaming else response.content
        return response.headers.get("Content-Type", ""), content

    aside = {reverse("safety:booklet"), reverse("safety:folder")}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(papers, "html", make)
        patch.setattr(press, "print_alone", take)
        patch.setattr(print_jobs, "begin", begin)
        for path in more:
            fetch(path)
        for found in walk(fetch):
            if found.path in aside:
                browser.post(found.path)
    return asked


def seen(page) -> Iterator:
    """The boxes that somebody sees, those in its margins left out."""
    [root, *_] = page._page_box.children
    return (each for each in root.descendants() if isinstance(each, LineBox | ReplacedBox | TableCellBox))


def filled(page) -> float:
    """How far down the last thing on it reaches, as a part of what there is room for."""
    box = page._page_box
    bottom = max((each.position_y + each.margin_height() for each in seen(page)), default=0)
    return (bottom - box.content_box_y()) / box.height


def words_of(box) -> str:
    return " ".join(each.text for each in box.descendants() if isinstance(each, TextBox))


def of_class(page, name: str) -> list:
    """The boxes on it that an element of that class has made."""
    return [
        box
        for box in page._page_box.descendants()
        if box.element is not None and name in box.element.get("class", "").split()
    ]
