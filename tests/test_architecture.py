"""What holds for the whole house: which way imports point, what templates never hold, who is let in."""

import ast
import re
import sys
import uuid
from pathlib import Path

import pytest
from django.apps import apps
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from inventory.models import Place
from studio.baths import operations as baths
from studio.bites import plates
from studio.people import tablets
from studio.people.roles import KEYHOLDER, MEMBER, VIEWER
from studio.shelf import bringing_in, counting
from tests.factories import PersonFactory, PlaceFactory, WorkshopFactory, adopted, plate, signed, started, stocked
from tests.studio.cathodes.shop import hung
from tests.studio.conftest import sign_in
from tests.studio.orders.shop import PackFactory, ordered
from tests.studio.safety.shop import label_printed
from tests.studio.waste.shop import drum, handed_over, paper_of, put, reported, said

ROOT = Path(__file__).resolve().parent.parent
FEATURES = [
    "workshop",
    "people",
    "book",
    "shelf",
    "orders",
    "baths",
    "bites",
    "cathodes",
    "hazards",
    "waste",
    "safety",
    "bench",
]
# a strike changes stock, baths, bites, cathodes and waste at once or not at all
REACHES_FORWARD = {("studio.book.operations", feature) for feature in ("baths", "bites", "cathodes", "waste")}
REACHES_FORWARD |= {("studio.bites.facing", "cathodes")}
OPEN_TO_STRANGERS = {
    "first_aid",
    "people:sign_in",
    "people:who",
    "people:sign_out",
    "safety:kept",
    "safety:open",
    "safety:open_bath",
    "safety:open_container",
    "safety:open_drum",
    "safety:open_material",
    "waste:reminders",
    "safety:wall",
    "safety:worker",
    "workshop:begin",
}
# a viewer's own account
OWN = {"people:own_password"}
READ_WITHOUT_THEIR_FORMS = {"bench:closing_list", "bites:bite", "safety:booklet", "safety:folder", "shelf:counts"}
# a member strikes an own line; the one that is tried here is somebody else's
KEYHOLDERS_ONLY = {
    "baths:adopt",
    "baths:change",
    "baths:set_up",
    "bench:everything",
    "bites:efficiency",
    "bites:put_right",
    "book:strike",
    "orders:change_pack",
    "orders:change_supplier",
    "orders:new_pack",
    "orders:new_supplier",
    "orders:order",
    "people:account",
    "people:add",
    "people:contact",
    "people:induct",
    "people:left",
    "people:mark_tablet",
    "people:role",
    "people:tablets",
    "people:take_off_tablet",
    "safety:copy_classes",
    "shelf:decide_count",
    "shelf:import_file",
    "shelf:import_preview",
    "shelf:import_progress",
    "shelf:limit",
    "waste:add_advice",
    "waste:correct",
    "waste:hand_over",
    "waste:refused",
    "waste:their_paper",
    "workshop:change",
}

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


@pytest.mark.parametrize("module", [name for name in IMPORTS if name.startswith("chemistry")])
def test_chemistry_rests_on_the_standard_library_and_pint(module):
    tops = {name.split(".")[0] for name in IMPORTS[module]}

    assert tops <= sys.stdlib_module_names | {"chemistry", "pint"}


@pytest.mark.parametrize("module", [name for name in IMPORTS if name.startswith("inventory")])
def test_the_shelf_knows_no_pages(module):
    assert not of_packages(IMPORTS[module], "studio")


@pytest.mark.parametrize("module", [name for name in IMPORTS if feature(name)])
def test_a_feature_imports_only_those_before_it(module):
    own = FEATURES.index(feature(module))
    later = {other for other in map(feature, IMPORTS[module]) if other and FEATURES.index(other) > own}

    assert {(module, other) for other in later} <= REACHES_FORWARD


def test_what_features_share_knows_no_feature():
    shared = {name for module, names in IMPORTS.items() if feature(module) for name in names if not feature(name)}
    shared &= {name for name in IMPORTS if name.startswith("studio.")}

    assert {module for module in shared if any(map(feature, IMPORTS[module]))} == set()


def test_every_folder_of_the_project_with_models_or_pages_is_a_feature():
    folders = {path.parent.name for path in (ROOT / "studio").glob("*/apps.py")}

    assert folders == set(FEATURES)


# templates

TEMPLATES = {str(path.relative_to(ROOT)): path for path in sorted((ROOT / "templates").rglob("*")) if path.is_file()}
TAGS = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)


def markup(name: str) -> str:
    """A template without what Django fills in."""
    return TAGS.sub("", TEMPLATES[name].read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_holds_a_style_or_a_script(name):
    forbidden = re.compile(r"<style|<script(?![^>]*\ssrc=)|<[^>]*\s(?:style|on[a-z]+)\s*=", re.IGNORECASE)

    assert not forbidden.search(markup(name))


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_promises_what_the_book_cannot_know(name):
    promise = re.compile(r"\b(safe|legal|non-?toxic|harmless)\b", re.IGNORECASE)

    assert not promise.search(markup(name))


@pytest.mark.parametrize("name", [name for name in TEMPLATES if "/components/" in name and name.endswith(".html")])
def test_every_component_says_first_what_it_wants(name):
    assert TEMPLATES[name].read_text(encoding="utf-8").startswith("{# Wants: ")


def test_no_form_is_included_without_its_token():
    bare = re.compile(r'\{% include "([^"]+)"[^%]* only %\}')
    text = {name.removeprefix("templates/"): path.read_text(encoding="utf-8") for name, path in TEMPLATES.items()}
    forms = {name for name, body in text.items() if "{% csrf_token %}" in body}

    assert {name for name, body in text.items() if forms.intersection(bare.findall(body))} == set()


@pytest.mark.parametrize("name", TEMPLATES)
def test_no_template_marks_its_own_text_as_escaped(name):
    assert not re.search(r"\|\s*safe\b|autoescape\s+off", TEMPLATES[name].read_text(encoding="utf-8"))


# pages


def routes(patterns=None, namespace=""):
    """Every address of the project: its name, its arguments and its view."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}", tuple(pattern.pattern.converters), pattern.callback
        else:
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from routes(pattern.url_patterns, inner)


ROUTES = [(name, arguments) for name, arguments, _ in routes()]


@pytest.fixture
def known(db):
    """A studio with one of everything: the arguments of each page, by its feature or its name."""
    WorkshopFactory()
    jar, bath = stocked("500 g", crystals=True), adopted()
    baths.read_titration(bath, mol_per_l=0.5, sd=0.005, words="0.5 mol/L", by=signed(1))
    reading = bath.events.last()
    line = ordered(pack=PackFactory(material=jar.material))
    sheet = counting.begin(jar.place, by=PersonFactory())
    file = bringing_in.read(b"material,amount\nTape,3", "list.csv", place=jar.place, by=PersonFactory())
    gone, wrong = taken_away(), reported()
    came = paper_of(gone)
    return {
        "bench": {"which": "summer", "slug": "shelf"},
        "people": {"pk": PersonFactory().pk},
        "people:take_off_tablet": {"pk": tablets.mark(name="Tablet", by=signed(1)).tablets.get().pk},
        "book": {"pk": reading.entry_id},
        "shelf": {
            "pk": jar.material_id,
            "code": jar.code,
            "place": jar.place_id,
            "sheet": sheet.pk,
            "imported": file.pk,
        },
        "orders": {"pk": line.order.supplier_id},
        "orders:material": {"pk": jar.material_id},
        "orders:mark_low": {"pk": jar.material_id},
        "orders:receive": {"pk": line.pk},
        "orders:change_pack": {"pk": line.pack_id},
        "baths": {"pk": bath.pk},
        "bites": bitten_and_mailed(bath),
        "baths:answer": {"pk": reading.pk},
        "cathodes": {"pk": hung(bath=bath).pk},
        "cathodes:copper_in": {"pk": jar.material_id},
        "waste": {"pk": drum().pk, "code": jar.code},
        "waste:add_advice": {"kind": "answer"},
        "waste:reminders": {"token": "nobody-made-it"},
        **{f"waste:{page}": {"pk": gone.pk} for page in ("disposal", "disposal_paper", "correct", "their_paper")},
        "waste:scan": {"pk": came.pk},
        "waste:incident": {"pk": wrong.pk},
        "waste:follow_up": {"pk": wrong.pk},
        "waste:one_advice": {"pk": said().advice.get().pk},
        "waste:advice_document": {"pk": said().advice.get().pk},
        "safety": {"pk": jar.material_id, "code": jar.code, "key": uuid.uuid4()},
        "safety:bath_paper": {"pk": bath.pk},
        "safety:label_bath": {"pk": bath.pk},
        "safety:label_paper": {"pk": label_printed(jar.material).pk},
        "safety:open_bath": {"pk": bath.pk},
        "safety:drum_paper": {"pk": (drained := drum(name="W8")).pk},
        "safety:open_drum": {"pk": drained.pk},
    }


def taken_away():
    full = drum(name="W9")
    put(full, 4)
    return handed_over(full)


def bitten_and_mailed(bath):
    """A plate that was sent away, and a bite that runs."""
    away = plate()
    sent = plates.send([away], partner=PlaceFactory(kind=Place.Kind.AWAY), by=signed(1))
    return {"plate": away.pk, "parcel": sent.parcels.get().pk, "bite": started(bath, at=2).pk}


def address(known, name, arguments):
    values = known.get(name) or known.get(name.partition(":")[0], {})
    return reverse(name, kwargs={argument: values[argument] for argument in arguments})


def everything():
    """All rows of the project's own tables, and the accounts."""
    own = [model for model in apps.get_models() if model.__module__.split(".")[0] in ("inventory", "studio")]
    return {model: list(model._base_manager.order_by("pk").values()) for model in [*own, apps.get_model("auth.User")]}


def test_only_these_pages_open_without_signing_in():
    assert {name for name, _, view in routes() if not getattr(view, "login_required", True)} == OPEN_TO_STRANGERS


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_stranger_is_led_to_the_door(client, known, method):
    before, door = everything(), reverse("people:sign_in")

    led_to = {
        name: getattr(client, method)(address(known, name, arguments)).headers.get("Location", "")
        for name, arguments in ROUTES
        if name not in OPEN_TO_STRANGERS
    }

    assert {name for name, location in led_to.items() if not location.startswith(door)} == set()
    assert everything() == before


def test_looking_at_a_page_writes_nothing(client, known):
    sign_in(client, PersonFactory(account__role=KEYHOLDER))
    before = everything()

    statuses = {name: client.get(address(known, name, arguments)).status_code for name, arguments in ROUTES}

    assert {name for name, status in statuses.items() if status >= 500} == set()
    assert everything() == before


def other_forms(response) -> list[str]:
    """Forms of a page that send something, apart from the one that signs out."""
    if not response.headers.get("Content-Type", "").startswith("text/html"):
        return []
    return re.findall(r'<form method="post"(?! action="/people/sign-out/")[^>]*>', response.content.decode())


def test_a_viewer_opens_whatever_is_read_and_nothing_that_writes(client, known):
    keyholder, viewer = Client(), Client()
    sign_in(keyholder, PersonFactory(account__role=KEYHOLDER))
    sign_in(viewer, PersonFactory(account__role=VIEWER))
    own = {*OPEN_TO_STRANGERS, *OWN}

    writing, leading_on, refused, offered = set(), set(), set(), set()
    for name, arguments in ROUTES:
        page = address(known, name, arguments)
        full, seen = keyholder.get(page), viewer.get(page)
        if full.status_code == 302:
            leading_on.add(name)
        if other_forms(full):
            writing.add(name)
        if seen.status_code == 403:
            refused.add(name)
        if other_forms(seen):
            offered.add(name)

    assert refused - writing - leading_on <= KEYHOLDERS_ONLY
    assert writing - refused <= own | READ_WITHOUT_THEIR_FORMS
    assert offered <= own


def sent(client, known, names) -> dict[str, int]:
    """What each page answers to whoever sends it something made up."""
    made_up = {"reason": "mine", "role": KEYHOLDER, "name": "Me"}
    return {
        name: client.post(address(known, name, arguments), made_up).status_code
        for name, arguments in ROUTES
        if name in names
    }


def test_what_a_viewer_sends_is_refused_everywhere(client, known):
    sign_in(client, PersonFactory(account__role=VIEWER))
    before = everything()

    answers = sent(client, known, {name for name, _ in ROUTES} - OPEN_TO_STRANGERS)

    assert {name for name, status in answers.items() if status != (200 if name in OWN else 403)} == set()
    assert everything() == before


@pytest.mark.parametrize(("role", "refused"), [(MEMBER, KEYHOLDERS_ONLY), (KEYHOLDER, set())])
def test_each_role_opens_the_pages_it_should(client, known, role, refused):
    sign_in(client, PersonFactory(account__role=role))

    answers = {name: client.get(address(known, name, arguments)).status_code for name, arguments in ROUTES}

    assert {name for name, status in answers.items() if status == 403} == refused


def test_what_a_keyholder_writes_a_member_cannot_send(client, known):
    sign_in(client, PersonFactory())
    before = everything()

    answers = sent(client, known, KEYHOLDERS_ONLY)

    assert set(answers.values()) == {403}
    assert everything() == before
