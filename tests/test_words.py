"""Every word that a person reads is marked for other languages: in templates by their text, in Python by its shape."""

import ast
import pkgutil
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from importlib import import_module
from pathlib import Path

import pytest
from django import forms
from django.template.base import Lexer, TokenType
from django.urls import get_resolver

import chemistry
from chemistry.sentences import Sentence
from chemistry.working import FORMULAS
from tests.invented_language import MARKS, ROOT, marked, of_the_sums

TEMPLATES_DONE = [
    *("shared", "components", "registration", "workshop", "people", "book", "shelf", "orders"),
    *("baths", "bites", "cathodes", "waste", "safety", "bench"),
]
MODULES_DONE = [
    *(f"studio/{feature}/**/*.py" for feature in ("workshop", "people", "book", "shelf", "orders")),
    *("studio/pages/*.py", "studio/drawing/*.py", "studio/printing/papers.py", "studio/printing/uploaded_pdf.py"),
    *(f"inventory/{room}.py" for room in ("book", "entries", "ledger", "importing", "lists", "workbooks", "cells")),
    *(f"inventory/{room}.py" for room in ("models", "past", "reorder", "dates", "refusals")),
    *(f"studio/{feature}/**/*.py" for feature in ("baths", "bites", "cathodes", "waste", "safety", "bench")),
    *("studio/hazards/**/*.py", "inventory/facts.py", "inventory/namelessness.py", "inventory/seals.py"),
]
NAMES = {"Mordant"}
READ_ALOUD = {"alt", "aria-label", "data-label", "placeholder", "title"}
GIVEN_AS_WORDS = re.compile(r"\b(?:caption|heading|label|next|question|submit|text|title|word)=\s*$")
TAG = "\ufffc"  # stands where Django fills something in
KIND_OF_PAPER = re.compile(r"\{% block kind %\}[^{]+")  # a class for the style sheet
WORD = re.compile(r"[^\W\d_]{2,}")


class Shown(HTMLParser):
    """What of a template's own text is seen or read aloud."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.texts += [value for name, value in attrs if name in READ_ALOUD and value]

    def handle_data(self, data):
        self.texts.append(data)


def literals(tag: str) -> Iterator[str]:
    """The words that a tag hands on and does not mark."""
    name = tag.split()[0]
    if name in ("load", "extends", "url", "static", "translate", "cache", "block"):
        return
    for found in re.finditer(r"""(["'])(.*?)\1""", tag):
        before, words = tag[: found.start()], found.group(2)
        if before.endswith("_(") or re.search(r"\|\w*(?:date|cut|add|slice)\w*:$|(?:include|url|static) $", before):
            continue
        if WORD.search(words) and (" " in words or words[0].isupper() or GIVEN_AS_WORDS.search(before)):
            yield words


def bare_in_template(source: str) -> list[str]:
    """
    >>> bare_in_template('<p title="Here">{{ a }} of {% translate "them" %}</p>{% include "x.html" with text="Go" %}')
    ['Go', 'Here', 'of']
    """
    shown, kept, handed, skipping = Shown(), "", [], ""
    for token in Lexer(KIND_OF_PAPER.sub("", source)).tokenize():
        name = token.contents.split()[0] if token.token_type == TokenType.BLOCK else ""
        if name in ("blocktranslate", "comment") or skipping:
            skipping = "" if skipping and name == f"end{skipping}" else skipping or name
        elif token.token_type == TokenType.TEXT:
            kept += token.contents
            continue
        elif token.token_type != TokenType.COMMENT:
            handed += literals(token.contents)
        kept += TAG
    shown.feed(kept)
    shown.close()
    texts = [text.replace(TAG, " ").strip() for text in shown.texts]
    return [words for words in handed + texts if set(WORD.findall(words)) - NAMES]


SPOKEN = re.compile(r"[^\W\d_]{2,}[,;:.’'”)]? +[(“‘]?[^\W\d_]|[^\W\d_]{2,}\.$")
SPOKEN_WITH_PLACES = re.compile(r"[^\W\d_]{2,}[,;:.]? | [^\W\d_]{2,}")
QUERY = re.compile(r"\s*(SELECT|WITH|INSERT|UPDATE|PRAGMA|LOCK|CREATE|DROP|DELETE)\b")
LABELS = {"caption", "empty_label", "empty_text", "help_text", "label", "verbose_name"}
# a ValueError is shown beside a field as often as it tells whoever programs; these do the latter
PROGRAMMED = {
    "a chart needs at least one point",
    "a chart needs at least one column",
    "the drawing has no {} % of lines",
}
PROGRAMMED |= {"{} to {} % is no range from 0 to 100 %", "a cost per plate needs at least one plate, not {}"}
# errors of whoever programs, and names by which modules know each other's parts
NOT_READ = {"Undeclared", "ImproperlyConfigured", "LookupError", "TypeError", "AssertionError"}
NOT_READ |= {"section_of", "sections_of", "Header", "read_private"}
# heads of files that other programs read, cities of time zones, and keys
KEPT_ENGLISH = {
    "columns",
    "CSV_HEAD",
    "EXPORTED",
    "EUROPEAN",
    "AMERICAN",
    "LEVELS",
    "headers",
    "COLUMNS",
    "BATH_USES",
    "exported_as",
    "verbose_name_plural",
    "NAMED_WAYS",
    "THINGS",
    "AS_BATH",
}
UNITS_AND_KEYS = {"fl oz", "top up", "outside a cabinet", "order list", "account {}", "{} from {}", "use by"}
UNITS_AND_KEYS |= {"1 {} cup", "{} cm2", "bath {}", "month total", "sewer and water", "seen to", "{} cm", "read {}"}
UNITS_AND_KEYS |= {"{} html {{ font-size: {}pt }}", "{} html { font-size: {}pt }"}
# the log that other programs read, how something is handled, what a seal names by its key, and what the terminal says
UNITS_AND_KEYS |= {"{} with {} is no event of version {}", "held out", "drying oil", "entry {}", "strike of entry {}"}
UNITS_AND_KEYS |= {"category {}", "{}: {} is kept as {}, its changes say {}"}
UNITS_AND_KEYS |= {"total totals sum subtotal summe gesamt zwischensumme somme totale totaal", "relationships id"}
# ways of copper in its balance
UNITS_AND_KEYS |= {
    "baths before",
    "baths now",
    "cathodes before",
    "cathodes now",
    "off plates",
    "unknown sheets",
    "poured in",
}
MARKUP = re.compile(r"\s*<|[A-Za-z.]+\[|[^ ]+ ?<|.*[a-z-]+=\"|[a-z]+/[a-z]+;|private, |@page ")


def called(node: ast.AST) -> str:
    return getattr(node.func, "attr", getattr(node.func, "id", "")) if isinstance(node, ast.Call) else ""


def is_markup(node: ast.AST) -> bool:
    """Attributes of a widget, such as its class."""
    return isinstance(node, ast.Dict) and any(getattr(key, "value", "") in ("class", "style") for key in node.keys)


def is_code(words: str) -> bool:
    return bool(QUERY.match(words) or MARKUP.match(words) or words in UNITS_AND_KEYS | PROGRAMMED)


def is_choices(node: ast.ClassDef) -> bool:
    return any("Choices" in ast.unparse(base) for base in node.bases)


def bare_here(node: ast.AST) -> list[str]:
    """What a piece of Python says without a mark, itself and not its parts."""
    if isinstance(node, ast.keyword) and node.arg in LABELS and isinstance(node.value, ast.Constant):
        return [node.value.value] if node.value.value and isinstance(node.value.value, str) else []
    if isinstance(node, ast.ClassDef) and is_choices(node):
        choices = [ast.unparse(each.value) for each in node.body if isinstance(each, ast.Assign)]
        return [choice for choice in choices if not re.search(r"\b(?:_|gettext_lazy|gettext_noop)\(", choice)]
    if isinstance(node, ast.JoinedStr):
        words = "".join(getattr(part, "value", "") if isinstance(part, ast.Constant) else "{}" for part in node.values)
        return [words] if SPOKEN_WITH_PLACES.search(words) and not is_code(words) else []
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value] if SPOKEN.search(node.value) and not is_code(node.value) else []
    return []


def is_kept_english(node: ast.AST) -> bool:
    if isinstance(node, ast.ClassDef):
        return "StrEnum" in map(ast.unparse, node.bases)
    names = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", node)]
    told = isinstance(node, ast.Call) and ast.unparse(node.func).startswith("log.")
    return told or any(getattr(name, "id", "") in KEPT_ENGLISH and not isinstance(node, ast.Name) for name in names)


def parts(node: ast.AST) -> Iterator[ast.AST]:
    """What is looked at in its turn: nothing of what is marked, documented or told to whoever programs."""
    documented = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    if documented or is_markup(node) or is_kept_english(node) or called(node) in {*MARKS, *NOT_READ}:
        return
    yield node
    if isinstance(node, ast.ClassDef) and is_choices(node):
        return
    is_field = called(node) and ast.unparse(node).startswith("models.")
    looked_up = keys_in(node)
    for child in ast.iter_child_nodes(node):
        # the help text of a model's field is for whoever reads the model: a form asks in words of its own
        if is_field and getattr(child, "arg", "") == "help_text":
            continue
        if child not in looked_up and (not isinstance(node, ast.JoinedStr) or isinstance(child, ast.FormattedValue)):
            yield from parts(child)


def keys_in(node: ast.AST) -> list[ast.AST]:
    """Words by which something is found or told apart: nobody reads them."""
    if isinstance(node, ast.Dict):
        return [key for key in node.keys if isinstance(key, ast.Constant) and str(key.value)[:1].islower()]
    return (
        [node.slice] if isinstance(node, ast.Subscript) else node.comparators if isinstance(node, ast.Compare) else []
    )


def bare_in_python(source: str) -> list[str]:
    """
    >>> bare_in_python('def f(a):\\n  "Nothing."\\n  g(_("a b"), label="Go")\\n  return f"Used {a} of it"')
    ['Go', 'Used {} of it']
    """
    return [words for node in parts(ast.parse(source)) for words in bare_here(node)]


LABELLED_WHEN_MADE = {"SignInForm.username", "SheetForm.copies"}


def forms_under(kind: type) -> Iterator[type]:
    for each in kind.__subclasses__():
        yield each
        yield from forms_under(each)


NAMES_IN_SCRIPTS = {"use strict", "open pages", "not written", "too slow"}


def template_paths(feature: str) -> list[Path]:
    folder = ROOT / "templates"
    return sorted(folder.glob("*.html") if feature == "shared" else (folder / feature).rglob("*.html"))


@pytest.mark.parametrize("feature", TEMPLATES_DONE)
def test_no_template_has_a_bare_word(feature):
    bare = {path.name: bare_in_template(path.read_text(encoding="utf-8")) for path in template_paths(feature)}

    assert {name: words for name, words in bare.items() if words} == {}


def test_no_field_is_named_by_its_own_name():
    """Without a label Django makes one of the field's name, in English."""
    assert get_resolver().url_patterns  # whatever is asked for is read in by now
    bare = {
        f"{form.__name__}.{name}"
        for form in forms_under(forms.BaseForm)
        for name, field in getattr(form, "base_fields", {}).items()
        if form.__module__.startswith("studio.") and field.label is None and not field.widget.is_hidden
    }

    assert bare - LABELLED_WHEN_MADE == set()


def test_no_script_has_a_sentence_of_its_own():
    scripts = {path.name: path.read_text(encoding="utf-8") for path in (ROOT / "studio" / "static").glob("*.js")}
    quoted = re.compile(r"""(["`])([A-Za-z][^"`<\[=]*)\1""")
    bare = {name: [said for _, said in quoted.findall(text) if SPOKEN.search(said)] for name, text in scripts.items()}

    assert {name: set(said) - NAMES_IN_SCRIPTS for name, said in bare.items() if set(said) - NAMES_IN_SCRIPTS} == {}


@pytest.mark.parametrize("room", MODULES_DONE)
def test_no_module_has_a_bare_sentence(room):
    paths = [path for path in sorted(ROOT.glob(room)) if "migrations" not in path.parts]
    bare = {path.name: bare_in_python(path.read_text(encoding="utf-8")) for path in paths}

    assert {name: words for name, words in bare.items() if words} == {}


def test_whoever_translates_is_given_all_that_is_marked():
    """Extraction sees no mark within an f-string, and of a call with another number of arguments nothing."""
    found = {form for words, _ in marked() for form in ([words] if isinstance(words, str) else words)}
    paths = [path for room in ("studio", "inventory", "chemistry") for path in (ROOT / room).rglob("*.py")]
    lost = {
        said: path.name
        for path in paths
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if called(node) in MARKS
        for said in said_in(node)
        if said not in found
    }

    assert len(found) > 1000 and lost == {}


def said_in(call: ast.Call) -> Iterator[str]:
    """What a call marks, where it stands there in words; the name of a count and a context are none."""
    places = {"ngettext_lazy": (0, 1), "pgettext": (1,), "pgettext_lazy": (1,)}.get(called(call), range(len(call.args)))
    for place in places:
        said = call.args[place] if place < len(call.args) else None
        if isinstance(said, ast.Constant) and isinstance(said.value, str) and said.value:
            yield said.value


def test_whoever_translates_is_given_all_that_a_formula_is_declared_with():
    for module in pkgutil.walk_packages(chemistry.__path__, "chemistry."):
        import_module(module.name)
    found = {words for words, _ in marked() if isinstance(words, str)} | set(of_the_sums())
    lost = {
        said: function.__name__
        for function, each in FORMULAS.items()
        for words in (each.text, each.unit, each.source, each.spread, *sum(each.inputs.values(), ()))
        for said in parts_of(words)
        if said and said not in found
    }

    assert len(FORMULAS) > 40 and lost == {}


def parts_of(words: object) -> list[str]:
    """A sentence as it stands in the catalogue, and those that fill its places."""
    if not isinstance(words, Sentence):
        return [words] if isinstance(words, str) else []
    return [
        words.text,
        *(part for place in words.places.values() if isinstance(place, Sentence) for part in parts_of(place)),
    ]


def test_no_style_and_no_script_goes_by_a_word():
    """What is found by what it is called is found in English alone."""
    by_word = re.compile(r"\[(?:aria-label|alt|data-label|placeholder|title)[*^$|~]?=")
    files = [path for path in (ROOT / "studio" / "static").iterdir() if path.suffix in (".css", ".js")]

    assert len(files) > 5 and {path.name for path in files if by_word.search(path.read_text(encoding="utf-8"))} == set()


def test_no_word_of_the_sums_is_a_plain_source():
    """What a working or a step rests on is said in the language of the studio."""
    plain = re.compile(r"^[A-Z_]*SOURCES?[A-Z_]* = f?\"", re.MULTILINE)

    assert {path.name for path in (ROOT / "chemistry").rglob("*.py") if plain.search(path.read_text("utf-8"))} == set()
