"""A working redone: its formula, with the inputs put in their places."""

import math
import re


def redo(formula: str, inputs: dict[str, float]) -> float:
    """
    The result of a working's formula.

    >>> redo("strength = salt / (water + salt) × density × 1000", {"water": 900.0, "salt": 300.0, "density": 1.12})
    280.0
    """
    sum_of_it = formula.partition("=")[2].replace("×", "*").strip()
    places = {}
    # the longest name first: "water per litre" begins with "water"
    for number, name in enumerate(sorted(inputs, key=len, reverse=True)):
        sum_of_it = re.sub(rf"\b{re.escape(name)}\b", f"place{number}", sum_of_it)
        places[f"place{number}"] = inputs[name]
    return eval(sum_of_it, {"__builtins__": {}}, places | {"max": max, "sqrt": math.sqrt})


def redone(working) -> float:
    """The same of a working as it travels with its figure."""
    return redo(working.formula, {given.name: given.value for given in working.inputs})
