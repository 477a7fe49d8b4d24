"""No number reaches a page past the locale rule: none is formatted by hand, none stands bare in a sentence."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
MODULES = [path for package in ("chemistry", "inventory", "studio") for path in sorted((ROOT / package).rglob("*.py"))]
MARKED = {"_", "gettext", "gettext_lazy", "ngettext", "ngettext_lazy", "pgettext", "pgettext_lazy", "Sentence"}
FORMATTED = re.compile(r"%\(\w+\)[-+ #0]*\d*(?:\.\d+)?[feEgG]")
A_NUMBER = re.compile(r"[\d,]*[.,]?\d*[eEfFgGn%]|,[df]?")
WITH_A_POINT = re.compile(r"(?<![\w.,/-])\d+\.\d+(?![\w.(])")
CITED = re.compile(r"(?:CFR|GHS|CLP|[Ss]ections?|Table|Annex|Part) [\d.]+(?:(?:,| and) [\d.]+)*")
# what is read by a browser's drawing, a printer, a terminal, a log or a machine, and the one place that writes numbers
WRITES_NO_SENTENCE = re.compile(
    r"studio/(?:drawing|demo|printing|management|server)/|studio/safety/printing\.py|studio/cathodes/flows\.py"
    r"|studio/bites/exposure\.py|studio/baths/plan\.py|studio/baths/forms/reading\.py|inventory/workbooks\.py"
    r"|chemistry/measured\.py|chemistry/units\.py|chemistry/waste/treatment\.py|migrations/"
)


def trees() -> Iterator[tuple[str, ast.Module]]:
    for path in MODULES:
        yield path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def name_of(call: ast.Call) -> str:
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def sentences(tree: ast.AST) -> Iterator[tuple[ast.Call, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and name_of(node) in MARKED:
            for text in node.args:
                if isinstance(text, ast.Constant) and isinstance(text.value, str):
                    yield node, text.value


def test_no_sentence_formats_a_number_by_itself():
    found = {
        f"{module}:{call.lineno}": text
        for module, tree in trees()
        for call, text in sentences(tree)
        if FORMATTED.search(text)
    }

    assert found == {}


def test_no_number_is_formatted_by_hand_where_sentences_are_made():
    found = {}
    for module, tree in trees():
        if WRITES_NO_SENTENCE.search(module):
            continue
        for node in ast.walk(tree):
            spec = node.format_spec if isinstance(node, ast.FormattedValue) else None
            if isinstance(spec, ast.JoinedStr):
                written = "".join(part.value for part in spec.values if isinstance(part, ast.Constant))
                if A_NUMBER.fullmatch(written):
                    found[f"{module}:{node.lineno}"] = written

    assert found == {}


def test_a_sentence_with_a_number_in_it_is_said_by_the_locale_rule():
    # those of the sums are: whoever shows a Sentence says it by `inventory.wording`
    found = {}
    for module, tree in trees():
        said = {
            id(part)
            for node in ast.walk(tree)
            if isinstance(node, ast.Call) and ("in_prose" in ast.dump(node.func) or name_of(node) == "Sentence")
            for part in ast.walk(node)
        }
        for call, text in sentences(tree):
            if id(call) not in said and WITH_A_POINT.search(CITED.sub("", text)):
                found[f"{module}:{call.lineno}"] = text

    # the settings name every way in which numbers can be written
    assert {where: text for where, text in found.items() if not where.startswith("studio/workshop/models.py")} == {}


@pytest.mark.parametrize("path", sorted((ROOT / "templates").rglob("*.html")), ids=lambda path: path.stem)
def test_no_template_has_a_number_of_its_own_or_formats_one(path):
    html = re.sub(
        r"<(svg|style)\b.*?</\1>|{#.*?#}|<[^>]+>|{%(?! (?:block)?trans).*?%}",
        " ",
        path.read_text("utf-8"),
        flags=re.DOTALL,
    )

    assert not re.search(r"\|(?:floatformat|stringformat|intcomma)", html)
    assert WITH_A_POINT.findall(CITED.sub("", html)) == []
