"""A session brings its account along, and ends with whatever ends it."""

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from studio.people import operations
from studio.people.models import Session
from studio.people.roles import MEMBER
from tests.factories import PersonFactory, adopted, signed, stocked
from tests.studio.conftest import sign_in

BENCH = reverse("bench:bench")


@pytest.fixture
def two_members(studio):
    """Two browsers, each with somebody of its own."""
    browsers = []
    for person in (PersonFactory(role=MEMBER), PersonFactory(role=MEMBER)):
        browsers.append(Client())
        browsers[-1].person = person
        sign_in(browsers[-1], person)
    return browsers


def test_each_browser_is_answered_as_its_own_person_in_turn(two_members):
    for browser in two_members * 2:
        assert browser.get(BENCH).wsgi_request.person == browser.person
    assert Client().get(reverse("first_aid")).wsgi_request.person is None


def test_a_session_knows_whose_it_is(two_members):
    [ada, _] = two_members

    assert Session.objects.get(session_key=ada.session.session_key).account == ada.person.account


def test_what_ends_a_session_ends_it_at_once(two_members):
    [ada, ben] = two_members
    account = ada.person.account
    stays = Session.objects.filter(account=account)

    def choose_another_password():
        account.set_password("verdigris on rag")
        account.save()

    ways = {
        "another password": choose_another_password,
        "the account is closed": lambda: User.objects.filter(pk=account.pk).update(is_active=False),
        "time": lambda: stays.update(expire_date=timezone.now()),
        "signed out elsewhere": stays.delete,
        "left": lambda: operations.leave(ada.person, left_on=timezone.localdate(), by=signed()),
    }
    for way, end in ways.items():
        User.objects.filter(pk=account.pk).update(is_active=True)
        sign_in(ada, ada.person)
        account.refresh_from_db()
        assert ada.get(BENCH).status_code == 200, way

        end()

        assert ada.get(BENCH).status_code == 302, way
        assert ben.get(BENCH).status_code == 200, way


@pytest.mark.parametrize("page", ["first aid", "bench", "shelf", "container", "bath"])
def test_a_page_whose_parts_are_kept_asks_twice_at_most(member, page):
    paths = {
        "first aid": reverse("first_aid"),
        "bench": BENCH,
        "shelf": reverse("shelf:shelf"),
        "container": stocked("500 g").get_absolute_url(),
        "bath": adopted().get_absolute_url(),
    }
    member.get(paths[page])

    with CaptureQueriesContext(connection) as asked:
        assert member.get(paths[page]).status_code == 200

    assert len(asked) <= 2, [each["sql"] for each in asked]


def test_nothing_that_a_person_read_is_left_in_the_browser(member):
    bath = adopted()
    pages = {name: reverse(f"baths:{name}", args=[bath.pk]) for name in ("bath", "card", "log_csv", "top_up")}

    for name, path in {**pages, "bench": BENCH, "book": reverse("book:book_csv"), "none": "/no-such-page/"}.items():
        assert "no-store" in member.get(path).headers["Cache-Control"], name
    assert "no-store" not in Client().get(reverse("first_aid")).headers.get("Cache-Control", "")
