"""
A figure and how it was worked out, kept together so that every page and paper can open one to the other.

A formula is declared beside the function that works it out; `work_out` gives the function's figure with that working.
"""

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Self, TypeVar

from chemistry.measured import HALF_WIDTH_SDS, Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One number that went into a figure."""

    name: str
    value: float
    unit: str
    sd: float | None = None

    @classmethod
    def measured(cls, name: str, measured: Measured, unit: str | None = None) -> Self:
        """What was measured, under its name in the formula; unit: where it says more than the value's own."""
        return cls(name=name, value=measured.value, unit=measured.unit if unit is None else unit, sd=measured.sd)

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


class Figure(Measured):
    """A measured value that carries its working; an sd of 0 where the spread is not estimated."""

    __slots__ = ("working",)

    def __init__(self, *, value: float | Measured, unit: str, working: Working, sd: float | None = None) -> None:
        """value: a number, or what was measured and keeps its errors."""
        super().__init__(value, sd or 0.0, unit)
        self.working = working

    def __eq__(self, other: object) -> bool:
        return super().__eq__(other) and isinstance(other, Figure) and self.working == other.working

    def __hash__(self) -> int:
        return super().__hash__()


Function = TypeVar("Function", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """What is declared beside a function; inputs: parameter -> (what it is, its unit)."""

    text: str
    unit: str
    inputs: Mapping[str, tuple[str, str]]
    source: str
    spread: str = ""
    caution: Callable[[float, Mapping[str, float]], str | None] = lambda value, inputs: None


FORMULAS: dict[Callable[..., Any], Formula] = {}


def formula(text: str, **declared: Any) -> Callable[[Function], Function]:
    """
    Declare the formula of a function, with the fields of Formula.

    caution: what to print beside the figure, of its value and its inputs.

    >>> @formula("d = 2 r", unit="mm", inputs={"r": ("r, radius", "mm")}, source="definition.")
    ... def diameter_mm(r):
    ...     return 2 * r
    >>> FORMULAS[diameter_mm].unit
    'mm'
    """

    def declare(function: Function) -> Function:
        # the function itself is handed back: the filter calls it thousands of times
        FORMULAS[function] = Formula(text=text, **declared)
        return function

    return declare


def work_out(function: Callable[..., float | None], **given: float) -> Figure:
    """
    Return what a function with a declared formula gives for its inputs, and how. [as declared]

    >>> @formula("v = s / t", unit="m/s", inputs={"s": ("s, way", "m"), "t": ("t, time", "s")}, source="definition.")
    ... def speed(s, t=2):
    ...     return s / t
    >>> figure = work_out(speed, s=3)
    >>> figure.value, figure.unit, figure.working.formula, [each.value for each in figure.working.inputs]
    (1.5, 'm/s', 'v = s / t', [3, 2])
    """
    value = function(**given)
    if value is None:
        raise ValueError(f"{function.__name__} has no figure for {given}")
    bound = inspect.signature(function).bind(**given)
    # what was left at its usual value went into the sum all the same
    bound.apply_defaults()
    declared = FORMULAS[function]
    working = Working(
        formula=declared.text,
        inputs=tuple(
            Input(name=declared.inputs[name][0], value=value, unit=declared.inputs[name][1])
            for name, value in bound.arguments.items()
        ),
        source=declared.source,
        spread=declared.spread,
        caution=declared.caution(value, bound.arguments),
    )
    return Figure(value=value, unit=declared.unit, working=working)
