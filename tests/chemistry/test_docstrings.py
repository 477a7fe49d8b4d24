"""
What every public function of the sums says of itself, whoever calls it.

Each shows an example that is run. One that works out a number says its unit in brackets at the end of its first
paragraph ([-] for a ratio) and where its formula is from: in the declaration beside it, in the working that travels
with its figure, or after "Source:" in its docstring. Looking up, reading and putting together need no more than the
example.
"""

import importlib
import inspect
import pkgutil
import re

import chemistry
from chemistry.working import FORMULAS

UNIT = re.compile(r"\[[^\]]+\]$", re.MULTILINE)
NUMBERS = {"float", "float | None"}
FIGURES = {"Figure", "Figure | None", "Measured", "Measured | None"}


def public_functions():
    for module in pkgutil.walk_packages(chemistry.__path__, "chemistry."):
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            if function.__module__ == module.name and not name.startswith("_"):
                yield f"{module.name}.{name}", function


def missing(function):
    doc = inspect.getdoc(function) or ""
    returned = inspect.signature(function).return_annotation
    returned = returned if isinstance(returned, str) else getattr(returned, "__name__", str(returned))
    if ">>> " not in doc:
        yield "an example"
    if returned in NUMBERS | FIGURES:
        if not UNIT.search(doc.split("\n\n")[0]):
            yield "a unit"
        if returned in NUMBERS and function not in FORMULAS and "Source: " not in doc:
            yield "a source"


def test_every_public_function_shows_an_example_and_every_number_its_unit_and_source():
    lacking = {name: found for name, function in public_functions() if (found := list(missing(function)))}

    assert lacking == {}
