from contextlib import contextmanager

import pytest
from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from studio.pages import fragment_cache
from studio.pages.fragment_cache import Dependency
from studio.pages.views import ReadView
from studio.people.roles import KEYHOLDER, MEMBER, VIEWER
from tests.factories import PersonFactory
from tests.studio.conftest import sign_in
from tests.test_access import addresses_of, one_of_everything, routes

KEPT = {
    "baths:bath",
    "baths:list",
    "bench:bench",
    "bench:needs",
    "bench:year",
    "bites:bite",
    "bites:bites",
    "bites:plate",
    "bites:plates",
    "book:book",
    "cathodes:cathode",
    "cathodes:list",
    "orders:costs",
    "orders:how_it_goes",
    "orders:orders",
    "safety:chemicals",
    "safety:kept",
    "safety:evidence",
    "safety:list",
    "safety:open",
    "safety:open_bath",
    "safety:open_container",
    "safety:open_drum",
    "safety:open_material",
    "safety:together",
    "safety:wall",
    "shelf:container",
    "shelf:material",
    "shelf:shelf",
    "waste:balance",
    "waste:disposal",
    "waste:disposals",
    "waste:drum",
    "waste:drums",
    "waste:months",
}
BY_FUNCTIONS = {"bench:bench", "bench:needs", "safety:kept"}
# one that runs is never kept, and how a material goes is kept for the shelf's page alone
NOT_HERE = {"bites:bite", "orders:how_it_goes"}
# the way to every place, which is kept for good and no part of a page
PLACES = ".places_"
BESIDE = {"workshop"}  # no part of a page
ALIKE = {Dependency.ADDRESS, Dependency.ROLE}


@pytest.fixture
def book(db):
    return addresses_of(one_of_everything())


@contextmanager
def parts_kept(monkeypatch):
    """What is put away while pages are opened: html by its key; and what each part says it does not depend on."""
    parts, regardless_of = {}, {}
    key_of = fragment_cache.fragment_key

    def fragment_key(name, request, *extra, **said):
        regardless_of[name] = set(said.get("regardless_of", ()))
        return key_of(name, request, *extra, **said)

    with monkeypatch.context() as patched:
        moment = timezone.now()
        patched.setattr(timezone, "now", lambda: moment)
        patched.setattr(fragment_cache, "fragment_key", fragment_key)
        patched.setattr(
            cache, "set", lambda key, html, *_: None if key in BESIDE or PLACES in key else parts.update({key: html})
        )
        yield parts, regardless_of


def test_these_pages_keep_what_they_show():
    views = {name for name, _, view in routes() if issubclass(getattr(view, "view_class", object), ReadView)}

    assert views | BY_FUNCTIONS == KEPT


def test_every_part_depends_on_everything_but_what_the_bench_shows_to_all_alike(book, monkeypatch):
    reader = Client()
    sign_in(reader, PersonFactory(role=KEYHOLDER))
    with parts_kept(monkeypatch) as (parts, regardless_of):
        keeping = {name for name in KEPT if reader.get(book[name]) and parts and not parts.clear()}

    assert keeping == KEPT - NOT_HERE
    assert {name for name, without in regardless_of.items() if without == ALIKE} <= {"latest", "needs"}
    assert {name for name, without in regardless_of.items() if without not in (set(), ALIKE)} == set()


@pytest.mark.parametrize("role", [KEYHOLDER, MEMBER, VIEWER])
def test_nothing_personal_is_kept(book, monkeypatch, role):
    """Two people of one role are kept the same parts, word for word."""
    kept = []
    readers = [PersonFactory(role=role) for _ in range(2)]
    for person in readers:
        reader = Client()
        sign_in(reader, person)
        with parts_kept(monkeypatch) as (parts, _):
            for name in KEPT:
                reader.get(book[name])
        kept.append({key: html for key, html in parts.items() if key.startswith("template.cache.")})

    assert len(kept[0]) > len(KEPT) - len(NOT_HERE)
    assert kept[0] == kept[1]
