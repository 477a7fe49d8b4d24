"""A figure and how it was worked out, kept together so that every page and paper can open one to the other."""

from dataclasses import dataclass

HALF_WIDTH_SDS = 1.96  # half of a 95 % interval of a normal spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One number that went into a figure."""

    name: str
    value: float
    unit: str
    sd: float | None = None

    @property
    def half_width(self) -> float | None:
        """Half of the 95 % interval."""
        return None if self.sd is None else HALF_WIDTH_SDS * self.sd


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """
    How a figure follows from its inputs.

    formula: "result = expression", written with the names of the inputs, so that a reader can redo the sum.
    spread: how far the formula itself can be trusted, in words, where no sd is estimated.
    caution: a sentence to print beside the figure where it lies beyond what the formula was checked against.
    """

    formula: str
    inputs: tuple[Input, ...]
    source: str
    spread: str = ""
    caution: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A computed number that carries its working; sd is None where the spread is not estimated."""

    value: float
    unit: str
    working: Working
    sd: float | None = None

    @property
    def half_width(self) -> float | None:
        """What pages and papers print after ±: half of the 95 % interval."""
        return None if self.sd is None else HALF_WIDTH_SDS * self.sd
