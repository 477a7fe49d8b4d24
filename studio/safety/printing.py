"""A label in the largest letters that its words leave room for; a word that has none is never cut off."""

from io import BytesIO
from typing import NamedTuple

from studio.printing import papers

LETTERS = ("", "smaller", "smallest")  # classes of paper.css; the smallest have 5 points


class PrintedPdf(NamedTuple):
    """A label as a PDF; where its words do not fit they run on to a second page."""

    pdf: bytes
    fits: bool


def label(content: dict, size: str, context: dict) -> PrintedPdf:
    """
    Print what `studio.safety.labels` put together.

    context: workshop, printed_by, code and caution, as `studio.papers.pdf` and the template want them.
    """
    # a tenth of a second, for whoever prints a label only
    from pypdf import PdfReader

    # WeasyPrint tells nobody that words were cut: only a second page shows that they did not fit
    for letters in LETTERS:
        shown = {"label": content, "size": size, "letters": letters, **context}
        pdf = papers.pdf("safety/papers/label.html", shown, title=f"Label: {content['name']}")
        fits = len(PdfReader(BytesIO(pdf)).pages) == 1
        if fits:
            break
    return PrintedPdf(pdf, fits)
