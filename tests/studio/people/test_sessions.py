"""A session brings its account along, and ends with whatever ends it."""

import time
from datetime import timedelta
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.db import OperationalError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.models import Entry
from studio.people import operations
from studio.people.models import Session
from studio.people.roles import MEMBER
from tests.factories import PersonFactory, adopted, signed, stocked
from tests.studio.conftest import sign_in

GOOD = "etched in blue"
BENCH, STAYS = reverse("bench:bench"), reverse("people:stays")


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


def came(client, person, **headers):
    if not person.account.check_password(GOOD):  # a new one would end the stays that began with the old one
        person.account.set_password(GOOD)
        person.account.save()
    client.post(reverse("people:sign_in"), {"username": person.account.username, "password": GOOD}, **headers)
    return Session.objects.get(session_key=client.session.session_key)


def test_a_stay_without_a_sign_of_life_ends_after_three_days(member):
    stay = came(member, member.person)

    assert stay.expire_date - timezone.now() == pytest.approx(timedelta(days=3), abs=timedelta(minutes=1))


def test_a_sign_of_life_puts_off_the_end_once_an_hour(member, monkeypatch):
    stay = came(member, member.person)
    Session.objects.update(expire_date=timezone.now() + timedelta(days=1))
    with CaptureQueriesContext(connection) as asked:
        member.get(BENCH)
    assert not [each for each in asked if each["sql"].startswith("UPDATE")], "the same hour"

    later = time.time() + 3600
    monkeypatch.setattr("studio.people.sessions.time.time", lambda: later)
    member.get(BENCH)

    stay.refresh_from_db()
    assert stay.expire_date - timezone.now() > timedelta(days=2.9)


def test_however_often_it_is_used_a_stay_ends_after_two_weeks(member):
    came(member, member.person)
    Session.objects.update(began_at=timezone.now() - timedelta(days=14, minutes=1))

    assert member.get(BENCH).status_code == 302


def test_everybody_sees_where_they_are_signed_in_and_ends_what_they_do_not_know(two_members):
    [ada, ben] = two_members
    phone = Client()
    known, lost = came(ada, ada.person), came(phone, ada.person, HTTP_USER_AGENT="(Linux; Android 15) Mobile")
    page = ada.get(STAYS).content.decode()
    assert "A browser on Android" in page
    assert lost.session_key not in page, "a key on a page would open what it belongs to"

    ben.post(STAYS, {"stay": lost.handle})
    assert phone.get(BENCH).status_code == 200, "not somebody else's"
    ada.post(STAYS, {"stay": known.handle})
    assert ada.get(BENCH).status_code == 200, "not the one in which it is asked"
    ada.post(STAYS, {"stay": lost.handle})

    assert phone.get(BENCH).status_code == 302
    assert ada.get(BENCH).status_code == ben.get(BENCH).status_code == 200


def test_all_other_stays_end_at_once(two_members):
    [ada, ben] = two_members
    others = [Client(), Client()]
    for browser in (ada, *others):
        came(browser, ada.person)

    ada.post(STAYS, {"stay": "others"})

    assert [browser.get(BENCH).status_code for browser in (ada, ben, *others)] == [200, 200, 302, 302]


def test_the_log_tells_who_came_and_who_was_turned_away_and_never_what_was_typed(member, caplog):
    caplog.set_level("INFO", "studio.door")
    account = f"account {member.person.account.pk} from 127.0.0.1"
    came(member, member.person)
    member.get(reverse("people:add_several"))
    member.post(reverse("people:sign_out"))
    member.post(reverse("people:sign_in"), {"username": GOOD, "password": "verdigris"})

    assert [record.getMessage() for record in caplog.records if record.name == "studio.door"] == [
        f"signed in: {account}",
        f"refused GET /people/add-several/ to {account}",
        f"signed out: {account}",
        "a name and a password or PIN that do not go together: a stranger from 127.0.0.1",
    ]


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

    for name, path in {**pages, "bench": BENCH, "book": reverse("book:book_csv"), "none": "/shelf/c/NONE/"}.items():
        assert "no-store" in member.get(path).headers["Cache-Control"], name
    assert "no-store" not in Client().get(reverse("first_aid")).headers.get("Cache-Control", "")


def no_stay_is_written(execute, sql, params, many, context):
    if sql.startswith(("UPDATE", "INSERT")) and '"people_session"' in sql:
        raise OperationalError("made to fail")
    return execute(sql, params, many, context)


def test_what_is_written_is_answered_as_written_where_the_stay_cannot_be_brought_up_to_date(member):
    """The unit that was typed is remembered in the stay, after the line is in the book."""
    jar = stocked("500 g")
    page = reverse("shelf:use", args=[jar.code])
    member.post(page, {"leave": "/shelf/", "amount": "9 g"})  # and on an errand
    bath = adopted()
    water = {"water_l_0": "1", "water_l_1": "L", "temperature_c": "18", "weak_anyway": "on"}
    forms = {page: {"amount": "10 g"}, reverse("baths:top_up", args=[bath.pk]): water}

    for address, typed in forms.items():
        before = Entry.objects.count()
        with connection.execute_wrapper(no_stay_is_written):
            answer = member.post(address, {"key": uuid4(), **typed})

        assert (answer.status_code, Entry.objects.count()) == (302, before + 1), address


def test_what_was_typed_and_cannot_be_kept_for_an_errand_is_not_answered_as_kept(member):
    page = reverse("shelf:use", args=[stocked("500 g").code])

    with connection.execute_wrapper(no_stay_is_written):
        answer = member.post(page, {"leave": "/shelf/", "amount": "9 g"})

    assert answer.status_code >= 400
