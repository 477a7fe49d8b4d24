"""
What every public function of the sums says of itself: every one that another module of the house calls.

Each shows an example that is run. One that works out a number says its unit in brackets at the end of its first
paragraph ([-] for a ratio) and where its formula is from: in the declaration beside it, in the working that travels
with its figure, or after "Source:" in its docstring. Looking up, reading and putting together need no more than the
example.
"""

import ast
import importlib
import inspect
import pkgutil
import re

import chemistry
from chemistry.working import FORMULAS
from tests.test_architecture import ROOT

UNIT = re.compile(r"\[[^\]]+\]$", re.MULTILINE)
NUMBERS = {"float", "float | None"}
FIGURES = {"Figure", "Figure | None", "Measured", "Measured | None"}


def called_from_elsewhere():
    """Names that one module of the house takes from another: imported by name, or reached through it."""
    for path in (path for room in ("chemistry", "inventory", "studio") for path in (ROOT / room).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                yield from ((node.module.rpartition(".")[2], alias.name) for alias in node.names if node.module)
            elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                yield node.value.id, node.attr


def public_functions():
    called = set(called_from_elsewhere())
    for module in pkgutil.walk_packages(chemistry.__path__, "chemistry."):
        for name, function in inspect.getmembers(importlib.import_module(module.name), inspect.isfunction):
            own = function.__module__ == module.name and not name.startswith("_")
            if own and (module.name.rpartition(".")[2], name) in called:
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
