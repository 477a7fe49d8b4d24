"""
Binds tagged papers into one that can still be read aloud: pypdf joins pages, but not the structure that goes with them.

Import this module late: it takes a tenth of a second.
"""

from collections.abc import Iterable
from io import BytesIO
from typing import Any

from pypdf import PdfReader, PdfWriter
from pypdf.generic import DictionaryObject, NameObject, NumberObject

STRUCTURES_OF_PAGE, STRUCTURE_OF_LINK = NameObject("/StructParents"), NameObject("/StructParent")


def bound(papers: Iterable[tuple[str, bytes]]) -> bytes:
    """Papers with their titles as one, listed in its outline; what is said of the whole is what the first says."""
    (title, first), *others = papers
    whole = PdfWriter(clone_from=BytesIO(first))
    whole.root_object.pop("/Outlines", None)  # its headings: the outline lists papers
    whole.add_outline_item(title=title, page_number=0)
    for title, paper in others:
        begins = len(whole.pages)
        _append(whole, PdfReader(BytesIO(paper)))
        whole.add_outline_item(title=title, page_number=begins)
    written = BytesIO()
    whole.write(written)
    return written.getvalue()


def count_pages(paper: bytes) -> int:
    return len(PdfReader(BytesIO(paper)).pages)


def _append(whole: PdfWriter, paper: PdfReader) -> None:
    """
    The pages of a paper with their part of the structure.

    Every page, and every link on it, names by number which structure its marks belong to (ISO 32000-1, 14.7.4.4); the
    numbers of what is appended follow those that are taken. pypdf leaves out a page's own.
    """
    tree = _structure(whole.root_object)
    numbers = _numbers(tree)
    taken, begins = max(numbers[::2]) + 1, len(whole.pages)
    whole.append(paper, import_outline=False)
    for page, printed in zip(whole.pages[begins:], paper.pages, strict=True):
        page[STRUCTURES_OF_PAGE] = NumberObject(printed[STRUCTURES_OF_PAGE] + taken)
        for link in (each.get_object() for each in page.get("/Annots", ())):
            link[STRUCTURE_OF_LINK] = NumberObject(link[STRUCTURE_OF_LINK] + taken)
    appended = _structure(paper.root_object).clone(whole)
    for document in appended["/K"]:
        document.get_object()[NameObject("/P")] = tree.indirect_reference
        tree["/K"].append(document)
    added = _numbers(appended)
    for number, structure in zip(added[::2], added[1::2], strict=True):
        numbers.extend([NumberObject(number + taken), structure])


def _structure(root: DictionaryObject) -> Any:
    return root["/StructTreeRoot"].get_object()


def _numbers(tree: Any) -> Any:
    """By turns a number and the structure it stands for."""
    return tree["/ParentTree"].get_object()["/Nums"]
