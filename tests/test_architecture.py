"""What holds for the whole house: which way imports point, and what templates never hold."""

import ast
import re
import subprocess
import sys
from pathlib import Path

from chemistry.waste import streams

ROOT = Path(__file__).resolve().parent.parent
FEATURES = [
    "workshop",
    "people",
    "book",
    "hazards",
    "shelf",
    "orders",
    "baths",
    "bites",
    "cathodes",
    "waste",
    "safety",
    "bench",
]

# imports


def module_name(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def imported(path: Path) -> set[str]:
    """Every module a file imports, at its top or inside a function; `from a import b` may mean the module a.b."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively"
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


IMPORTS = {
    module_name(path): imported(path)
    for package in ("chemistry", "inventory", "studio")
    for path in sorted((ROOT / package).rglob("*.py"))
    if "migrations" not in path.parts
}


def of_packages(names: set[str], *packages: str) -> set[str]:
    return {name for name in names if name.split(".")[0] in packages}


def feature(name: str) -> str | None:
    parts = name.split(".")
    return parts[1] if parts[0] == "studio" and len(parts) > 1 and parts[1] in FEATURES else None


def wrongly_imported(package: str, refused) -> dict[str, set[str]]:
    """By module of a package, what it imports and should not."""
    wrong = {module: refused(names) for module, names in IMPORTS.items() if module.split(".")[0] == package}
    return {module: names for module, names in wrong.items() if names}


def test_each_module_of_the_sums_may_be_imported_first():
    """Other programs begin with whichever they need, and an import in a circle holds for some beginnings alone."""
    names = [name for name in IMPORTS if name.split(".")[0] == "chemistry"]
    each_first = """
import importlib, sys
for name in sys.argv[1:]:
    for loaded in [known for known in sys.modules if known.split(".")[0] == "chemistry"]:
        del sys.modules[loaded]
    importlib.import_module(name)
"""

    ran = subprocess.run(
        [sys.executable, "-c", each_first, *names], cwd=ROOT, capture_output=True, text=True, check=False
    )

    assert len(names) > 50
    assert ran.stderr == ""


def test_chemistry_rests_on_the_standard_library_and_two_sciences():
    allowed = sys.stdlib_module_names | {"chemistry", "pint", "uncertainties"}

    assert wrongly_imported("chemistry", lambda names: {name.split(".")[0] for name in names} - allowed) == {}


def test_the_shelf_knows_no_pages():
    assert wrongly_imported("inventory", lambda names: of_packages(names, "studio")) == {}


def test_a_feature_imports_only_those_before_it():
    later = {
        (module, other)
        for module, names in IMPORTS.items()
        for other in map(feature, names)
        if feature(module) and other and FEATURES.index(other) > FEATURES.index(feature(module))
    }

    assert later == set()


def reached_from(module: str) -> set[str]:
    """All that a module of the house imports, and what that imports, to the end."""
    reached, ahead = set(), {module}
    while ahead:
        reached |= ahead
        ahead = {name for each in ahead for name in IMPORTS[each] if name in IMPORTS} - reached
    return reached


def test_no_tag_of_a_template_asks_the_book():
    tags = [name for name in IMPORTS if ".templatetags." in name]

    assert tags
    knowing = re.compile(
        r"^inventory(?!\.(dates|wording)$)|\.(models|operations)\b"
    )  # how a day or a sentence is said needs no book
    asking = {tag: {name for name in reached_from(tag) if knowing.search(name)} for tag in tags}
    assert {tag: names for tag, names in asking.items() if names} == {}


def test_no_form_holds_a_kind_of_waste():
    """Which kind comes from where is a rule, and rules are found beside the operations that they are for."""
    asking = {path for name in ("forms.py", "forms/*.py") for path in (ROOT / "studio").glob(f"*/{name}")}
    held = {
        (module_name(path), node.value)
        for path in asking
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in set(streams.STREAMS)
    }

    assert asking
    assert held == set()


def test_what_features_share_knows_no_feature():
    shared = {name for module, names in IMPORTS.items() if feature(module) for name in names if not feature(name)}
    shared &= {name for name in IMPORTS if name.startswith("studio.")}

    assert {module for module in shared if any(map(feature, IMPORTS[module]))} == set()


def test_every_folder_of_the_project_with_models_or_pages_is_a_feature():
    folders = {path.parent.name for what in ("urls.py", "models*") for path in (ROOT / "studio").glob(f"*/{what}")}

    # the press's queue is a table of no feature's
    assert folders == {*FEATURES, "printing"}


# templates

TEMPLATES = {str(path.relative_to(ROOT)): path for path in sorted((ROOT / "templates").rglob("*")) if path.is_file()}
LONGEST_LINE = 200
TAGS = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)


def text_of(name: str) -> str:
    return TEMPLATES[name].read_text(encoding="utf-8")


def markup(name: str) -> str:
    """A template without what Django fills in."""
    return TAGS.sub("", text_of(name))


def folder_of(name: str) -> str:
    return name.removeprefix("templates/").split("/")[0]


def test_a_template_includes_and_loads_only_what_earlier_features_have():
    """A shared template, such as a component, belongs to no feature and so includes none of theirs."""
    libraries = {path.stem: path.parent.parent.name for path in (ROOT / "studio").glob("*/templatetags/[!_]*.py")}
    taken = re.compile(r'\{% (?:include|extends) "([^"]+)"|\{% load ([^%]+) %\}')
    later = set()
    for name in TEMPLATES:
        own = FEATURES.index(folder_of(name)) if folder_of(name) in FEATURES else -1
        for template, loaded in taken.findall(text_of(name)):
            of = [folder_of(template)] if template else [libraries.get(each, "") for each in loaded.split()]
            later |= {(name, each) for each in of if each in FEATURES and FEATURES.index(each) > own}

    assert later == set()


def test_no_template_holds_a_style_or_a_script():
    forbidden = re.compile(r"<style|<script(?![^>]*\ssrc=)|<[^>]*\s(?:style|on[a-z]+)\s*=", re.IGNORECASE)

    assert {name for name in TEMPLATES if forbidden.search(markup(name))} == set()


def test_no_template_promises_what_the_book_cannot_know():
    promise = re.compile(r"\b(safe|legal|non-?toxic|harmless)\b", re.IGNORECASE)

    assert {name for name in TEMPLATES if promise.search(markup(name))} == set()


def test_every_component_says_first_what_it_wants():
    components = [name for name in TEMPLATES if "/components/" in name and name.endswith(".html")]

    assert {name for name in components if not text_of(name).startswith("{# Wants: ")} == set()


def test_no_form_is_included_without_its_token():
    bare = re.compile(r'\{% include "([^"]+)"[^%]* only %\}')
    text = {name.removeprefix("templates/"): path.read_text(encoding="utf-8") for name, path in TEMPLATES.items()}
    forms = {name for name, body in text.items() if "{% csrf_token %}" in body}

    assert {name for name, body in text.items() if forms.intersection(bare.findall(body))} == set()


def test_no_template_has_a_line_that_nobody_can_read():
    long = {name for name in TEMPLATES if any(len(line) > LONGEST_LINE for line in text_of(name).splitlines())}

    assert long == set()


def test_no_template_marks_its_own_text_as_escaped():
    marked = re.compile(r"\|\s*safe\b|autoescape\s+off")

    assert {name for name in TEMPLATES if marked.search(text_of(name))} == set()


def test_fields_are_hidden_by_the_answer_to_a_question_that_is_named():
    """Two questions of one page may both be answered "unknown"; one of them must not hide what the other asks for."""
    styles = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "studio/static").glob("*.css"))

    assert ":has([name=" in styles
    assert ":has([value=" not in styles
