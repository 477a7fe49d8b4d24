"""Work a formula out together with its working, read from the docstring where the formula is explained once."""

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from chemistry.solution import sulfate
from chemistry.working import Figure, Input, Working

INPUT = re.compile(r"^(\w+): (.+) \[(.+)\]$", re.MULTILINE)


def work_out(function: Callable[..., float | None], **inputs: float) -> Figure:
    """
    Return what a function of this package gives for its inputs, and how: formula, inputs, source, spread, caution.

    >>> figure = work_out(sulfate.strength_g_per_l, mass_fraction=0.1, temperature_c=5)
    >>> round(figure.value, 1), figure.unit, figure.working.formula
    (173.8, 'g/L', 'c = 1000 w ρ(w, t) · 249.686 / 159.609')
    >>> figure.working.caution
    'Checked against published tables only from 18 to 25 °C, not at 5 °C.'
    """
    value = function(**inputs)
    if value is None:
        raise ValueError(f"{function.__name__} has no figure for {inputs}")
    bound = inspect.signature(function).bind(**inputs)
    bound.apply_defaults()
    explained = explanation(function)
    working = Working(
        formula=explained.formula,
        inputs=tuple(
            Input(name=explained.inputs[name][0], value=given, unit=explained.inputs[name][1])
            for name, given in bound.arguments.items()
        ),
        source=explained.source,
        spread=explained.spread,
        caution=_caution(function.__name__, value, bound.arguments),
    )
    return Figure(value=value, unit=explained.unit, working=working)


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """What a docstring says of a formula; inputs: parameter -> (what it is, its unit)."""

    unit: str
    formula: str
    inputs: Mapping[str, tuple[str, str]]
    source: str
    spread: str


@cache
def explanation(function: Callable[..., float | None]) -> Explanation:
    """
    Read the docstring: "Return ... [unit]", the formula, a line for each input, Spread if known, Source.

    >>> explanation(sulfate.baume_from_sg).formula
    '°Bé = 145 - 145 / SG'
    """
    paragraphs = (inspect.getdoc(function) or "").split("\n\n")
    last = next(paragraph for paragraph in paragraphs if "Source: " in paragraph)
    spread, source = last.split("Source: ")
    return Explanation(
        unit=paragraphs[0].rpartition("[")[2].removesuffix("]"),
        formula=_one_line(paragraphs[1]),
        inputs={name: (text, unit) for paragraph in paragraphs for name, text, unit in INPUT.findall(paragraph)},
        source=_one_line(source),
        spread=_one_line(spread).removeprefix("Spread: "),
    )


def _one_line(paragraph: str) -> str:
    return " ".join(paragraph.split())


def _caution(name: str, value: float, inputs: Mapping[str, float]) -> str | None:
    mass_fraction = value if name.startswith("mass_fraction_from") else inputs.get("mass_fraction")
    temperature_c = inputs.get("temperature_c")
    if mass_fraction is None or temperature_c is None:
        return None
    return sulfate.caution(mass_fraction, temperature_c)
