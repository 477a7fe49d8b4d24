"""
A long paper on its way: a few files in a folder, so that whichever worker is asked knows of it.

`python -m studio.printing.job FOLDER` prints it, in a process that ends with it. Nothing here needs Django, which would
double what that process takes before the first page.
"""

import json
import re
import sys
import time
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

from studio.server import locking

PAPER, BEGUN, PROGRESS, FAILED = "paper.pdf", "begun.json", "printed", "failed"
OPEN, SHUT = "\ue000", "\ue001"  # for private use: nobody types them
PAGE_OF = re.compile(f"{OPEN}(\\d+){SHUT}")
STALLED_S = 120  # a slow machine takes seconds for a page
PATIENCE_S = 600  # for the paper that is being printed before it


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

    def begin(self, front: PaperPart, parts: Sequence[PaperPart], *, page: str) -> None:
        # nobody else on this machine reads what stands in the studio
        self.folder.mkdir(parents=True, mode=0o700)
        for number, part in enumerate([front, *parts]):
            self.file_of(number).write_text(part.html, encoding="utf-8")
        begun = {"title": front.title, "parts": len(parts), "page": page}
        # written last: a job is found by this file, and by then all of it must be there
        (self.folder / BEGUN).write_text(json.dumps(begun))

    def file_of(self, number: int) -> Path:
        """The HTML of a part; of the front, 0."""
        return self.folder / f"{number:04}.html"

    @property
    def key(self) -> uuid.UUID:
        return uuid.UUID(self.folder.name)

    @property
    def paper(self) -> Path:
        return self.folder / PAPER

    @property
    def title(self) -> str:
        return self.begun["title"]

    @property
    def parts(self) -> int:
        """How many there are to print."""
        return self.begun["parts"]

    @property
    def printed(self) -> int:
        """How many of them are."""
        progress = self.folder / PROGRESS
        return int(progress.read_text() or 0) if progress.exists() else 0

    @property
    def is_done(self) -> bool:
        return self.paper.exists()

    @property
    def has_failed(self) -> bool:
        """Whether its process ended without a paper, or has neither printed nor waited for long."""
        if self.is_done:
            return False
        return (self.folder / FAILED).exists() or time.time() - self.moved_at > STALLED_S

    @property
    def is_underway(self) -> bool:
        return not self.is_done and not self.has_failed

    @property
    def begun(self) -> dict[str, Any]:
        return json.loads((self.folder / BEGUN).read_text())

    @property
    def moved_at(self) -> float:
        files = (self.folder / BEGUN, self.folder / PROGRESS)
        return max(file.stat().st_mtime for file in files if file.exists())

    def print(self) -> None:
        """One paper at a time; while it waits for its turn it says again and again that it is still there."""
        press, still_here = self.folder.parent / "press.lock", (self.folder / BEGUN).touch
        with locking.held(press, patience_s=PATIENCE_S, while_waiting=still_here):
            from studio.printing import pdf  # only once it is this paper's turn: it takes half a second and 50 MB

            size = self.begun["page"]
            html = [self.file_of(number).read_text(encoding="utf-8") for number in range(self.parts + 1)]
            printed, begins = [], [1]
            drawn: dict[str, Any] = {}
            for part in html[1:]:
                printed.append(pdf.render(part, page=size, numbered_from=begins[-1], drawn=drawn))
                begins.append(begins[-1] + len(printed[-1].pages))
                (self.folder / PROGRESS).write_text(str(len(printed)))
            # the list comes first in the paper and last in the making, when every page has its number
            contents = PAGE_OF.sub(lambda part: str(begins[int(part[1])]), html[0])
            front = pdf.render(contents, page=size, numbered_from=0, drawn=drawn)
            # whoever looks for the paper must never find a part of it
            whole = self.folder / "whole.pdf"
            pdf.print_joined(front, printed, whole)
            whole.rename(self.paper)


if __name__ == "__main__":
    Job(Path(sys.argv[1])).print()
