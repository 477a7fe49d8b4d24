"""Papers bound into one that can still be read aloud."""

import pypdf
import pytest

from studio.printing import binding, papers
from studio.printing.pdf import press

LINK = '<p><a href="https://book.example.org/">Its page</a></p>'


def paper(title, content="<p>Its words.</p>"):
    html = papers.html("print.html", {}, title=title).replace("<main>", f"<main><h2>{title}</h2>{content}")
    return title, press(html, page="A4")


@pytest.fixture
def bound(tmp_path):
    def read(*titles):
        binding.bind([paper(title, LINK) for title in titles], into=tmp_path / "whole.pdf")
        return pypdf.PdfReader(tmp_path / "whole.pdf", strict=True)

    return read


def structures(reader):
    """By number what the structure tree has for a page or a link."""
    numbers = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    return dict(zip(numbers[::2], (each.get_object() for each in numbers[1::2]), strict=True))


def test_pages_follow_in_order_and_are_found_in_the_outline(bound):
    whole = bound("Wall", "Bath", "Acetone")

    assert [title in page.extract_text() for title, page in zip(("Wall", "Bath", "Acetone"), whole.pages, strict=True)]
    assert [(item.title, whole.get_destination_page_number(item)) for item in whole.outline] == [
        ("Wall", 0),
        ("Bath", 1),
        ("Acetone", 2),
    ]


def test_every_page_and_link_has_its_own_part_of_the_structure(bound):
    whole = bound("Wall", "Bath", "Acetone")

    found = structures(whole)
    for page in whole.pages:
        elements = [each.get_object() for each in found[page["/StructParents"]]]
        assert elements and {each["/Pg"].get_object()["/StructParents"] for each in elements if "/Pg" in each} == {
            page["/StructParents"]
        }
        [link] = [each.get_object() for each in page["/Annots"]]
        assert found[link["/StructParent"]]["/S"] == "/Link"
    assert len(found) == 6


def test_the_structure_of_each_paper_hangs_on_that_of_the_whole(bound):
    whole = bound("Wall", "Bath", "Acetone")

    tree = whole.trailer["/Root"]["/StructTreeRoot"]
    documents = [each.get_object() for each in tree["/K"]]
    assert [each["/S"] for each in documents] == ["/Document"] * 3
    assert [each["/P"].get_object() == tree for each in documents] == [True] * 3


def test_the_whole_says_what_the_first_says(bound):
    root = bound("Wall", "Bath").trailer["/Root"]

    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"] and root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"pdfuaid" in root["/Metadata"].get_data()


def test_pages_are_counted():
    assert binding.count_pages(paper("Wall")[1]) == 1
