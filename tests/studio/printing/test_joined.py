"""Papers joined into one that can still be read aloud."""

import pypdf
import pytest

from studio.printing import papers, pdf

LINK = '<p><a href="https://book.example.org/">Its page</a></p>'
DRAWING = '<svg viewBox="0 0 1 1"><title>A jug</title><path d="M0 0h1v1z"/></svg>'


def paper(title, content="<p>Its words.</p>", *, numbered_from=1):
    html = papers.html("print.html", {}, title=title).replace('<main id="main">', f"<main><h2>{title}</h2>{content}")
    return pdf.render(html, page="A4", numbered_from=numbered_from)


@pytest.fixture
def joined(tmp_path):
    def read(*titles, content=LINK):
        front, *parts = [paper(title, content, numbered_from=number) for number, title in enumerate(titles)]
        pdf.print_joined(front, parts, tmp_path / "whole.pdf")
        return pypdf.PdfReader(tmp_path / "whole.pdf", strict=True)

    return read


def elements(reader):
    """Every element of the structure tree."""
    left = list(reader.trailer["/Root"]["/StructTreeRoot"]["/K"])
    while left:
        element = left.pop().get_object()
        if isinstance(element, dict):
            yield element
            kids = element.get("/K", [])
            left.extend(kids if isinstance(kids, list) else [kids])


def structures(reader):
    """By number what the structure tree has for a page or a link."""
    numbers = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    return dict(zip(numbers[::2], (each.get_object() for each in numbers[1::2]), strict=True))


def test_pages_follow_in_order_and_are_found_in_the_outline(joined):
    whole = joined("Wall", "Bath", "Acetone")

    assert [title in page.extract_text() for title, page in zip(("Wall", "Bath", "Acetone"), whole.pages, strict=True)]
    assert [(item.title, whole.get_destination_page_number(item)) for item in whole.outline] == [
        ("Wall", 0),
        ("Bath", 1),
        ("Acetone", 2),
    ]


def test_every_page_and_link_has_its_own_part_of_the_structure(joined):
    whole = joined("Wall", "Bath", "Acetone")

    found = structures(whole)
    for page in whole.pages:
        elements = [each.get_object() for each in found[page["/StructParents"]]]
        assert elements and {each["/Pg"].get_object()["/StructParents"] for each in elements if "/Pg" in each} == {
            page["/StructParents"]
        }
        [link] = [each.get_object() for each in page["/Annots"]]
        assert found[link["/StructParent"]]["/S"] == "/Link"
    assert len(found) == 6


def test_the_whole_has_one_structure_with_the_headings_of_every_paper(joined):
    whole = joined("Wall", "Bath", "Acetone")

    tree = whole.trailer["/Root"]["/StructTreeRoot"]
    [document] = [each.get_object() for each in tree["/K"]]
    assert document["/S"] == "/Document" and document["/P"].get_object() == tree
    tags = [each["/S"] for each in elements(whole) if "/S" in each]
    assert (tags.count("/H1"), tags.count("/H2")) == (3, 3)


def test_every_drawing_is_described(joined):
    figures = [each for each in elements(joined("Wall", "Bath", content=DRAWING)) if each.get("/S") == "/Figure"]

    assert [each["/Alt"] for each in figures] == ["A jug", "A jug"]


def test_the_whole_says_what_the_first_says(joined):
    whole = joined("Wall", "Bath")

    root = whole.trailer["/Root"]
    assert whole.metadata.title == "Wall"
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"] and root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"pdfuaid" in root["/Metadata"].get_data()


def test_a_viewer_counts_the_pages_as_they_are_numbered_on_paper(joined):
    whole = joined("Contents", "Bath", "Acetone")

    assert whole.page_labels == ["i", "1", "2"]
    assert [page.extract_text().split()[-1] for page in whole.pages][1:] == ["1", "2"]
