"""A label in the largest letters that its words leave room for; a word that has none is never cut off."""

from io import BytesIO

from studio import papers

LETTERS = ("", "smaller", "smallest")  # classes of paper.css; the smallest have 5 points


def label(content: dict, size: str, context: dict) -> bytes | None:
    """
    The label as a PDF of one page; None where its words do not fit.

    context: workshop, printed_by, code and caution, as `studio.papers.pdf` and the template want them.
    """
    for letters in LETTERS:
        shown = {"label": content, "size": size, "letters": letters, **context}
        pdf = papers.pdf("safety/papers/label.html", shown, title=f"Label: {content['name']}")
        if _pages(pdf) == 1:
            return pdf
    return None


def _pages(pdf: bytes) -> int:
    from pypdf import PdfReader  # a tenth of a second, for whoever prints a label only

    return len(PdfReader(BytesIO(pdf)).pages)
