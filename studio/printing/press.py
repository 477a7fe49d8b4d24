"""
What lays out papers, in a process beside the server that ends when nobody has printed for a while.

WeasyPrint and what it keeps of the papers it made take a hundred megabytes, which the server would hold as long as it
runs. `python -m studio.printing.press` is that process: it is asked on its input and answers on its output. Nothing
here needs Django.
"""

import os
import pickle
import subprocess
import sys
import threading
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any

IDLE_S = 60
ROOT = Path(__file__).parents[2]


class PdfNotAccessible(Exception):
    """The press complained; a sheet that claims to be accessible and is not must not leave it."""


class PaperFailed(Exception):
    """What the press said when it could not print a paper."""


class Press:
    """One at a time: WeasyPrint is not written for threads."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.process: subprocess.Popen[bytes] | None = None

    def ask(self, what: str, *args: Any, **how: Any) -> Any:
        """What a function of `studio.printing.pdf` gives back, or raises."""
        asked = pickle.dumps((what, args, how))
        with self.lock:
            try:
                answer = self.answer(asked)
            except (EOFError, OSError):
                # for want of work it ended in this very moment, or somebody killed it
                self.close()
                answer = self.answer(asked)
        if isinstance(answer, Exception):
            raise answer
        return answer

    def answer(self, asked: bytes) -> Any:
        if self.process is None:
            command = [sys.executable, "-m", "studio.printing.press"]
            self.process = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        assert self.process.stdin and self.process.stdout
        self.process.stdin.write(asked)
        self.process.stdin.flush()
        return pickle.load(self.process.stdout)

    def close(self) -> None:
        if self.process:
            self.process.kill()
            self.process.communicate()
        self.process = None


press = Press()


def print_alone(html: str, *, page: str, larger: float = 1.0, rules: str = "") -> bytes:
    """A tagged PDF of a whole HTML document, or nothing at all."""
    printed: bytes = press.ask("print_alone", html, page=page, larger=larger, rules=rules)
    return printed


def fit(html: str, *, letters_pt: Sequence[float], rules: str) -> float | None:
    """The largest letters in which something is one page, whatever that measures; None where there are none."""
    letters: float | None = press.ask("fit", html, letters_pt=letters_pt, rules=rules)
    return letters


def work(asked: IO[bytes], told: IO[bytes]) -> None:
    """Until nobody is there any more to ask, or nobody has asked for a while."""
    from studio.printing import pdf  # only here: it takes half a second and 50 MB

    while True:
        ends = threading.Timer(IDLE_S, os._exit, [0])
        ends.daemon = True
        ends.start()
        try:
            what, args, how = pickle.load(asked)
        except EOFError:
            return
        finally:
            ends.cancel()
        try:
            answer = getattr(pdf, what)(*args, **how)
        except PdfNotAccessible as complaint:
            answer = complaint
        # whatever else goes wrong with a paper is said to whoever wants it; a refused address is no Exception
        except BaseException:
            answer = PaperFailed(traceback.format_exc())
        pickle.dump(answer, told)
        told.flush()


if __name__ == "__main__":
    from studio.printing import press as own  # this module by its name, under which the other side knows what it raises

    with os.fdopen(os.dup(1), "wb") as answers:
        # what a library prints would be read as an answer
        os.dup2(2, 1)
        own.work(sys.stdin.buffer, answers)
