"""One line of the working of a classification, to be printed as it stands."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """gives: the class this line leads to; None where its sum stays below the limit."""

    text: str
    source: str
    gives: str | None = None

    def __str__(self) -> str:
        return self.text


def plain(number: Fraction) -> str:
    """
    Write an exact number for the eye.

    >>> plain(Fraction(2405, 100)), plain(Fraction(10, 3))
    ('24.05', '3.33333')
    """
    return f"{float(number):.6g}"
