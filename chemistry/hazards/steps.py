"""One line of the working of a classification, to be printed as it stands."""

from dataclasses import dataclass
from fractions import Fraction

from chemistry.measured import digits


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
    Write an exact number for the eye: as it was typed, or in three digits where it was worked out.

    >>> plain(Fraction(2405, 100)), plain(Fraction(10, 3)), plain(Fraction("29.2235"))
    ('24.05', '3.33', '29.2')
    """
    # nobody types a percent finer than hundredths, and a composition is never known so well
    return digits(float(number)) if (100 * number).denominator == 1 else digits(float(number), 3)
