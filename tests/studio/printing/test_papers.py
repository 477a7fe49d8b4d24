import os
from io import BytesIO
from types import SimpleNamespace

import numpy as np
import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.test import RequestFactory

from studio.drawing import charts, qr
from studio.printing import pango, papers
from studio.printing.press import PaperFailed, PdfNotAccessible, press, work
from tests.studio import sheet

MM_PER_POINT = 25.4 / 72
PIXEL = (
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="
)
SHEET = (
    '{% include "components/figure.html" with shown=strength only %}{% include "components/jug.html" %}'
    '{% include "components/rulebar.html" %}{% include "components/chart.html" with chart=chart table="open" only %}'
    '{% include "components/chart.html" with chart=columns table="none" only %}'
    '{% include "components/facts.html" %}{% include "components/working.html" %}'
)


@pytest.fixture
def print_paper(settings, tmp_path):
    """Prints a paper with this content."""
    settings.TEMPLATES = [settings.TEMPLATES[0] | {"DIRS": [*settings.TEMPLATES[0]["DIRS"], tmp_path]}]

    def printed(content="<p>Keep the lid on.</p>", *, page="A4", **context):
        body = f'{{% extends "print.html" %}}{{% block content %}}{content}{{% endblock %}}'
        (tmp_path / "paper.html").write_text(body)
        facts = {"workshop": SimpleNamespace(name="Tallow Street"), "printed_by": "Maren Oakes"} | context
        return pypdf.PdfReader(BytesIO(papers.pdf("paper.html", facts, title="Upright tank", page=page)))

    return printed


def grey(paper, page=0, *, dpi=200):
    """A page as a photocopier would give it, 0 black to 255 white."""
    stream = BytesIO()
    pypdf.PdfWriter(clone_from=paper).write(stream)
    with pypdfium2.PdfDocument(stream.getvalue()) as document:
        return np.asarray(document[page].render(scale=dpi / 72).to_pil().convert("L"))


def test_every_page_says_what_it_is_when_by_whom_from_what_and_who_decides(print_paper):
    paper = print_paper("<p>A line of the list.</p>" * 120, source="14 entries since 4 September")

    texts = [page.extract_text() for page in paper.pages]
    assert len(texts) > 2
    for text in texts:
        assert (
            "Tallow Street · Upright tank · printed " in text
            and " by Maren Oakes, from 14 entries since 4 September" in text
        )
        assert "the supplier’s safety sheet, local rules and licensed people decide" in text


# ISO 216 (A4) and ASME Y14.1 (Letter)
@pytest.mark.parametrize(("page", "width_mm", "height_mm"), [("A4", 210, 297), ("Letter", 215.9, 279.4)])
def test_a_paper_has_the_size_of_the_studios_paper(print_paper, page, width_mm, height_mm):
    box = print_paper(page=page).pages[0].mediabox

    assert float(box.width) * MM_PER_POINT == pytest.approx(width_mm, abs=0.1)
    assert float(box.height) * MM_PER_POINT == pytest.approx(height_mm, abs=0.1)


def test_a_paper_can_be_read_aloud(print_paper):
    paper = print_paper(SHEET, **sheet.context(RequestFactory().get("/")))

    root = paper.trailer["/Root"]
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] and paper.metadata.title == "Upright tank"
    figures = [element for element in structure(root["/StructTreeRoot"]) if element.get("/S") == "/Figure"]
    assert figures and all(figure.get("/Alt") for figure in figures)
    assert {"/H1", "/Table", "/TH", "/TD"} <= {element.get("/S") for element in structure(root["/StructTreeRoot"])}


def structure(element):
    """The tags of a PDF, each with the tags inside it."""
    element = element.get_object()
    if isinstance(element, pypdf.generic.ArrayObject):
        for kid in element:
            yield from structure(kid)
    elif isinstance(element, pypdf.generic.DictionaryObject):
        yield element
        if "/K" in element:
            yield from structure(element["/K"])


def test_a_paper_uses_its_own_letters_alone(print_paper):
    paper = print_paper(SHEET, **sheet.context(RequestFactory().get("/")))

    fonts = {
        str(font.get_object()["/BaseFont"]) for page in paper.pages for font in page["/Resources"]["/Font"].values()
    }
    assert len(fonts) == 3 and all("+Source-S" in font for font in fonts)


def test_a_drawing_reaches_the_paper_in_greys_that_can_be_told_apart(print_paper):
    paper = print_paper(
        '{% include "components/chart.html" with chart=chart table="none" only %}', chart=charts.line(**sheet.year())
    )

    tones = grey(paper)
    assert (tones < 60).mean() > 0.002  # ink: text, axis, readings
    assert ((tones > 60) & (tones < 120)).mean() > 0.001  # the line
    assert ((tones > 180) & (tones < 225)).mean() > 0.01  # its band


def test_a_printed_code_is_read_by_a_scanner_and_at_least_20_mm_wide(print_paper):
    code = qr.svg("https://book.example.org/c/A-17", title="Container A-17")

    found = zxingcpp.read_barcodes(grey(print_paper('{% include "components/qr.html" with text="A-17" %}', code=code)))

    assert [each.text for each in found] == ["https://book.example.org/c/A-17"]
    corners = found[0].position
    assert (
        corners.top_right.x - corners.top_left.x
    ) / 200 * 25.4 >= 20 * 29 / 37  # of 37 modules 8 are the white border


def test_a_press_that_was_killed_is_followed_by_another_one(print_paper):
    print_paper()
    press.process.kill()

    assert len(print_paper().pages) == 1


def test_a_press_ends_when_nobody_prints_any_more(monkeypatch):
    reading, writing = os.pipe()
    monkeypatch.setattr("studio.printing.press.IDLE_S", 0.01)
    monkeypatch.setattr(os, "_exit", lambda status: os.close(writing))

    with os.fdopen(reading, "rb") as asked:
        work(asked, BytesIO())  # it would wait for ever


def test_a_picture_without_words_spoils_the_paper(print_paper):
    with pytest.raises(PdfNotAccessible, match="alt"):
        print_paper(f'<img src="{PIXEL}">')


def test_a_drawing_without_a_title_spoils_the_paper(print_paper):
    with pytest.raises(PdfNotAccessible, match="title"):
        print_paper('<svg viewBox="0 0 1 1"><path d="M0 0h1v1z"/></svg>')


@pytest.mark.parametrize("address", ["file:///etc/hostname", "http://127.0.0.1:9/drawing.svg", "/etc/hostname"])
def test_a_paper_fetches_nothing_but_the_shops_own_files(print_paper, address):
    with pytest.raises(PaperFailed, match="may not fetch"):
        print_paper(f'<img src="{address}" alt="a drawing">')


def test_what_somebody_typed_is_printed_as_text(print_paper):
    paper = print_paper("<p>{{ note }}</p>", note="<b>jar</b> & lid")

    assert "<b>jar</b> & lid" in paper.pages[0].extract_text()


@pytest.fixture
def request_of_a_keyholder():
    """A request as the shop's middleware hands it on."""
    request = RequestFactory().get("/")
    request.user = SimpleNamespace(is_authenticated=False)
    request.workshop = SimpleNamespace(name="Tallow Street", paper="Letter")
    request.person = "Maren Oakes"
    return request


def test_a_paper_opens_in_the_browser_under_a_name_of_its_own(request_of_a_keyholder):
    response = papers.answer(request_of_a_keyholder, "print.html", {}, title="Upright tank")

    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"].startswith('inline; filename="upright-tank-20')
    paper = pypdf.PdfReader(BytesIO(response.content))
    assert "by Maren Oakes" in paper.pages[0].extract_text()
    assert float(paper.pages[0].mediabox.width) == 612  # the workshop prints on Letter


def test_without_pango_a_paper_says_what_is_missing_and_how_to_bring_it(request_of_a_keyholder, monkeypatch, settings):
    settings.ROOT_URLCONF = "tests.studio.sheet"
    monkeypatch.setattr(pango, "is_here", lambda: False)
    monkeypatch.setattr(pango, "command", lambda: "brew install pango")

    response = papers.answer(request_of_a_keyholder, "print.html", {}, title="Upright tank")

    assert response.status_code == 503
    assert "brew install pango" in response.content.decode()
