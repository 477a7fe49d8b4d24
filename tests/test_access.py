"""Who is let in: every address of the project asked as each role, once, and what came back."""

import re
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from functools import partial
from typing import NamedTuple
from unittest.mock import patch

import pytest
from django.apps import apps
from django.core.cache import cache
from django.db import connection, transaction
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from chemistry.bath import Titrated
from inventory.models import Place
from studio.baths import operations as baths
from studio.bites import plates
from studio.people import tablets
from studio.people.roles import KEYHOLDER, MEMBER, VIEWER
from studio.printing import papers, press
from studio.shelf import bringing_in, counting
from tests.factories import PersonFactory, PlaceFactory, WorkshopFactory, adopted, plate, signed, started, stocked
from tests.studio.bites.test_photographs import photographed
from tests.studio.cathodes.shop import hung
from tests.studio.conftest import sign_in
from tests.studio.figures_read import badly_written
from tests.studio.orders.shop import PackFactory, invoiced, ordered
from tests.studio.safety.shop import label_printed
from tests.studio.waste.shop import drum, handed_over, paper_of, put, reported, said

OPEN_TO_STRANGERS = {
    "favicon",
    "first_aid",
    "people:code",
    "people:come_in",
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
OWN = {"people:own_password", "people:second_factor", "people:stays", "people:mail"}
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
    "orders:cancel_line",
    "orders:change_pack",
    "orders:change_supplier",
    "orders:new_pack",
    "orders:new_supplier",
    "orders:order",
    "people:add_several",
    "people:contact",
    "people:decide_mail",
    "people:induct",
    "people:induct_several",
    "people:invite",
    "people:invite_one",
    "people:left",
    "people:mark_tablet",
    "people:role",
    "people:slips",
    "people:tablets",
    "people:take_back",
    "people:take_name_out",
    "people:take_off_tablet",
    "people:test_mail",
    "safety:copy_classes",
    "shelf:decide_count",
    "shelf:import_file",
    "shelf:import_preview",
    "shelf:import_progress",
    "shelf:usual_things",
    "shelf:limit",
    "waste:add_advice",
    "waste:correct",
    "waste:hand_over",
    "waste:refused",
    "waste:their_paper",
    "workshop:change",
}


def routes(patterns=None, namespace=""):
    """Every address of the project: its name, its arguments and its view."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}", tuple(pattern.pattern.converters), pattern.callback
        else:
            inner = f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace
            yield from routes(pattern.url_patterns, inner)


ROUTES = {name: arguments for name, arguments, _ in routes()}


def one_of_everything() -> dict[str, dict]:
    """A studio with one of everything: the arguments of each page, by its feature or its name."""
    WorkshopFactory()
    jar, bath = stocked("500 g", crystals=True), adopted()
    baths.read(bath, Titrated(day=0, mol_per_l=0.5, sd=0.005), words="0.5 mol/L", by=signed(1))
    reading = bath.events.last()
    line = ordered(pack=PackFactory(material=jar.material))
    sheet = counting.begin(jar.place, by=PersonFactory())
    file = bringing_in.read(b"material,amount\nTape,3", "list.csv", place=jar.place, by=PersonFactory())
    gone, wrong = taken_away(), reported()
    came = paper_of(gone)
    return {
        "bench": {"which": "summer", "slug": "shelf"},
        "people": {"pk": PersonFactory().pk},
        "people:come_in": {"secret": "nobody-made-it"},
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
        "orders:invoice": {"pk": invoiced(line.order.supplier).pk},
        "orders:mark_low": {"pk": jar.material_id},
        "orders:receive": {"pk": line.pk},
        "orders:change_pack": {"pk": line.pack_id},
        "baths": {"pk": bath.pk},
        "bites": bitten_and_mailed(bath),
        "baths:answer": {"pk": reading.pk},
        "bites:log_sheet": {"pk": bath.pk},
        "bites:type_log_sheet": {"pk": bath.pk},
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
    photo = photographed(away).photographs.get()
    return {"plate": away.pk, "photo": photo.pk, "parcel": sent.parcels.get().pk, "bite": started(bath, at=2).pk}


pytestmark = pytest.mark.django_db  # what the walk found is all they ask; without the mark nobody makes a database

STRANGER = "stranger"
MADE_UP = {"reason": "mine", "role": KEYHOLDER, "name": "Me"}
# who looks at which pages, and who sends something made up to which
LOOKS = {role: set(ROUTES) for role in (STRANGER, VIEWER, MEMBER, KEYHOLDER)}
SENDS = {
    STRANGER: set(ROUTES) - OPEN_TO_STRANGERS,
    VIEWER: set(ROUTES) - OPEN_TO_STRANGERS,
    MEMBER: KEYHOLDERS_ONLY,
}


class Answer(NamedTuple):
    status: int
    location: str
    has_forms: bool  # that send something, apart from the one that signs out
    badly_written: tuple[str, ...]  # figures


class Walk(NamedTuple):
    """What each page answered to each role, and who changed the book on the way."""

    looked: dict[str, dict[str, Answer]]
    sent: dict[str, dict[str, Answer]]
    wrote: set[tuple[str, str]]


@pytest.fixture(scope="module")
def walk(django_db_setup, django_db_blocker) -> Iterator[Walk]:
    """The whole site walked once for this module."""
    cache.clear()
    with django_db_blocker.unblock(), thrown_away():
        addresses = addresses_of(one_of_everything())
        clients = {role: Client() for role in LOOKS}
        for role, client in clients.items():
            if role != STRANGER:
                sign_in(client, PersonFactory(role=role))
        made, blank = Walk({}, {}, set()), papers.pdf("print.html", {}, title="Blank")
        for method, record, plan in (("get", made.looked, LOOKS), ("post", made.sent, SENDS)):
            for role, names in plan.items():
                # papers are the same for all who may have them: each is printed once
                printing = (
                    nullcontext() if role == KEYHOLDER else patch.object(press, "print_alone", return_value=blank)
                )
                with thrown_away(), printing:
                    before = everything()
                    ask = partial(getattr(clients[role], method), data=MADE_UP if method == "post" else None)
                    record[role] = {name: answer(ask(addresses[name])) for name in sorted(names)}
                    if everything() != before:
                        made.wrote.add((role, method))
        yield made


@contextmanager
def thrown_away():
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def answer(response) -> Answer:
    is_page = response.headers.get("Content-Type", "").startswith("text/html")
    sending = r'<form method="post"(?! action="/people/sign-out/")[^>]*>'
    page = response.content.decode() if is_page else ""
    has_forms = bool(re.search(sending, page))
    # a picture is a file that stays open until it was sent
    if response.streaming:
        list(response.streaming_content)
    return Answer(response.status_code, response.headers.get("Location", ""), has_forms, tuple(badly_written(page)))


def addresses_of(known) -> dict[str, str]:
    """Every page's address, its arguments those of something that is in the book."""
    return {
        name: reverse(
            name, kwargs={each: (known.get(name) or known[name.partition(":")[0]])[each] for each in arguments}
        )
        for name, arguments in ROUTES.items()
    }


def everything():
    """All rows of the project's own tables, and the accounts."""
    own = [model for model in apps.get_models() if model.__module__.split(".")[0] in ("inventory", "studio")]
    return {model: rows_of(model) for model in [*own, apps.get_model("auth.User")]}


def rows_of(model):
    # asked ten thousand times by campaigns, and an ORM thinks longer about each question than the database
    name, key = (connection.ops.quote_name(each) for each in (model._meta.db_table, model._meta.pk.column))
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {name} ORDER BY {key}")
        return cursor.fetchall()


def with_status(answers: dict[str, Answer], status: int) -> set[str]:
    return {name for name, each in answers.items() if each.status == status}


def test_only_these_pages_open_without_signing_in():
    assert {name for name, _, view in routes() if not getattr(view, "login_required", True)} == OPEN_TO_STRANGERS


@pytest.mark.parametrize("answers", ["looked", "sent"])
def test_a_stranger_is_led_to_the_door(walk, answers):
    door = reverse("people:sign_in")
    led_to = {name: each.location for name, each in getattr(walk, answers)[STRANGER].items()}

    assert {name for name, to in led_to.items() if not to.startswith(door)} <= OPEN_TO_STRANGERS


def test_looking_at_a_page_writes_nothing_and_breaks_nothing(walk):
    broken = {(role, name) for role, all_ in walk.looked.items() for name, each in all_.items() if each.status >= 500}

    assert broken == set()
    assert {role for role, method in walk.wrote if method == "get"} == set()


def test_no_page_writes_an_exponent_or_breaks_a_figure_from_its_spread(walk):
    bad = {(name, figure) for name, each in walk.looked[KEYHOLDER].items() for figure in each.badly_written}

    assert bad == set()


def test_a_viewer_opens_whatever_is_read_and_nothing_that_writes(walk):
    full, seen = walk.looked[KEYHOLDER], walk.looked[VIEWER]
    own = {*OPEN_TO_STRANGERS, *OWN}
    writing = {name for name, each in full.items() if each.has_forms}
    refused = with_status(seen, 403)

    assert refused - writing - with_status(full, 302) <= KEYHOLDERS_ONLY
    assert writing - refused <= own | READ_WITHOUT_THEIR_FORMS
    assert {name for name, each in seen.items() if each.has_forms} <= own


def test_what_a_viewer_sends_is_refused_everywhere(walk):
    sent = walk.sent[VIEWER]

    assert with_status(sent, 200) | with_status(sent, 302) == OWN
    assert with_status(sent, 403) == set(sent) - OWN


@pytest.mark.parametrize(("role", "refused"), [(MEMBER, KEYHOLDERS_ONLY), (KEYHOLDER, set())])
def test_each_role_opens_the_pages_it_should(walk, role, refused):
    assert with_status(walk.looked[role], 403) == refused


def test_what_a_keyholder_writes_a_member_cannot_send(walk):
    assert with_status(walk.sent[MEMBER], 403) == KEYHOLDERS_ONLY


def test_nobody_changes_the_book_by_what_is_refused(walk):
    assert {role for role, method in walk.wrote if method == "post"} == set()
