"""
A long paper on the press: a few files in a folder of the node that prints it.

`python -m studio.printing.job FOLDER` prints it, in a process that ends with it. Nothing here needs Django, which would
double what that process takes before the first page.
"""

import json
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

PAPER, BEGUN, PROGRESS = "paper.pdf", "begun.json", "printed"
OPEN, SHUT = "\ue000", "\ue001"  # for private use: nobody types them
PAGE_OF = re.compile(f"{OPEN}(\\d+){SHUT}")


class PaperPart(NamedTuple):
    """A whole HTML document, joined with others."""

    title: str
    html: str


def page_of(part: int) -> str:
    """Stands in the front for the number of the page on which a part begins; the first part is 0."""
    return f"{OPEN}{part}{SHUT}"


@dataclass(frozen=True)
class Job:
    """One paper on its way."""

    folder: Path

    def begin(self, html: Sequence[str], *, page: str) -> None:
        """html: the front, then each part."""
        for number, part in enumerate(html):
            self.file_of(number).write_text(part, encoding="utf-8")
        (self.folder / BEGUN).write_text(json.dumps({"parts": len(html) - 1, "page": page}))

    def file_of(self, number: int) -> Path:
        """The HTML of a part; of the front, 0."""
        return self.folder / f"{number:04}.html"

    @property
    def paper(self) -> Path:
        return self.folder / PAPER

    @property
    def printed(self) -> int:
        """How many parts are."""
        progress = self.folder / PROGRESS
        return int(progress.read_text() or 0) if progress.exists() else 0

    def print(self) -> None:
        from studio.printing import pdf  # only here: it takes half a second and 50 MB

        begun = json.loads((self.folder / BEGUN).read_text())
        size = begun["page"]
        html = [self.file_of(number).read_text(encoding="utf-8") for number in range(begun["parts"] + 1)]
        printed, begins = [], [1]
        drawn: dict[str, Any] = {}
        for part in html[1:]:
            printed.append(pdf.render(part, page=size, numbered_from=begins[-1], drawn=drawn))
            begins.append(begins[-1] + len(printed[-1].pages))
            (self.folder / PROGRESS).write_text(str(len(printed)))
        # the list comes first in the paper and last in the making, when every page has its number
        contents = PAGE_OF.sub(lambda part: str(begins[int(part[1])]), html[0])
        front = pdf.render(contents, page=size, numbered_from=0, drawn=drawn)
        pdf.print_joined(front, printed, self.paper)


if __name__ == "__main__":
    Job(Path(sys.argv[1])).print()
