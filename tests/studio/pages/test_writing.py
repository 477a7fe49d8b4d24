import errno
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from threading import Event
from uuid import uuid4

import pytest
from django.db import OperationalError, connection, transaction
from django.test import RequestFactory
from django.urls import reverse

from inventory.models import Container, Entry, Person
from studio.pages import views
from studio.pages.writing import SignedForm, write_once
from tests.factories import PersonFactory, adopted, stocked


def form_of(person) -> SignedForm:
    request = RequestFactory().get("/")
    request.person, request.user = person, person.account
    return SignedForm(request=request)


def test_who_writes_is_offered_once_among_those_who_may_have_done_it(db):
    ada, ben, guest = PersonFactory(name="Ada"), PersonFactory(name="Ben"), Person.objects.create(name="Cleo")

    offered = list(form_of(ada).fields["done_by"].choices)

    assert [label for _, label in offered] == ["Ada (me)", "Ben", "Cleo"]
    assert [str(value) for value, _ in offered] == ["", str(ben.pk), str(guest.pk)]


@pytest.fixture
def use(member):
    """What the page answers to a member who uses something of a jar, sent under one key."""
    jar, key = stocked("500 g"), str(uuid4())

    def send(**typed):
        facts = {"amount": "10 g", "key": key} | typed
        return member.post(reverse("shelf:use", args=[jar.code]), facts)

    return send


def test_a_second_tap_of_the_same_form_goes_on_as_if_it_had_been_written_then(use):
    ends = [use().status_code for _ in range(3)]

    assert ends == [302, 302, 302]
    assert Entry.objects.filter(kind="used").count() == 1


@pytest.mark.parametrize(
    "changed", [{"amount": "77 g"}, {"amount": "banana"}, {"note": "of the old batch"}, {"amount": ""}]
)
def test_something_else_under_the_same_key_is_a_question_and_not_a_success(use, changed):
    use()

    answer = use(**changed)

    [first] = Entry.objects.filter(kind="used")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert f"Written already as <a href='{first.get_absolute_url()}'>" in page
    for typed in changed.values():
        assert typed in page, "what was typed is kept"


def test_what_was_asked_about_can_be_sent_again_as_a_line_of_its_own(use):
    use()
    again = use(amount="77 g").context["form"]["key"].value()

    answer = use(amount="77 g", key=again)

    assert answer.status_code == 302
    assert [entry.movements.get().amount for entry in Entry.objects.filter(kind="used")] == [-10_000, -77_000]


@pytest.mark.django_db(transaction=True)
def test_whoever_waits_in_vain_for_others_is_told_and_keeps_what_was_typed(use):
    jar, held, told = Container.objects.get(), Event(), Event()

    def hold():
        with transaction.atomic():
            Container.objects.select_for_update().get(pk=jar.pk)
            held.set()
            told.wait(20)
        connection.close()

    wait_but_a_moment = "PRAGMA busy_timeout = 50" if connection.vendor == "sqlite" else "SET lock_timeout = '50ms'"
    with ThreadPoolExecutor(1) as somebody_else, connection.cursor() as cursor:
        cursor.execute(wait_but_a_moment)
        other = somebody_else.submit(hold)
        held.wait(20)
        answer = use(amount="77 g")
        told.set()
        other.result()

    page = answer.content.decode()
    assert (answer.status_code, Entry.objects.filter(kind="used").count()) == (200, 0)
    assert "Others were writing for so long that this is not written yet" in page
    assert "77 g" in page
    assert use(amount="77 g").status_code == 302, "the same form, sent again, is written"


class Broken:
    """A connection that drops once an act is committed."""

    def __init__(self):
        self.is_written = False

    def __call__(self, execute, sql, params, many, context):
        if self.is_written and not sql.startswith(("UPDATE", "SAVEPOINT", "RELEASE", "INSERT")):
            raise OperationalError("the connection is gone")
        return execute(sql, params, many, context)


def test_what_is_written_is_answered_as_written_whatever_fails_after(keyholder, monkeypatch):
    jar, bath = stocked("500 g"), adopted()
    settings = reverse("workshop:change")
    as_it_is = {each.name: each.value() for each in keyholder.get(settings).context["form"] if each.value() is not None}
    acts = {
        reverse("shelf:split", args=[jar.code]): {"amount": "10 g", "place": jar.place_id},
        reverse("shelf:use", args=[jar.code]): {"amount": "10 g"},
        reverse("shelf:new_place"): {"name": "Window sill", "kind": "shelf"},
        reverse("baths:cover", args=[bath.pk]): {"lid_on": "off"},
        settings: as_it_is | {"name": "Another name"},
    }
    for url, typed in acts.items():
        broken, before = Broken(), Entry.objects.count()

        def write_once_and_break(request, form, act, deeds, broken=broken):
            def act_and_break(**facts):
                entry = act(**facts)
                broken.is_written = True
                return entry

            return write_once(request, form, act_and_break, deeds)

        monkeypatch.setattr(views, "write_once", write_once_and_break)
        with connection.execute_wrapper(broken):
            answer = keyholder.post(url, typed | {"key": str(uuid4())})

        assert broken.is_written, (url, answer.context and answer.context["form"].errors)
        assert (answer.status_code, Entry.objects.count()) == (302, before + 1), url


def refusing_from_the_first_insert(error):
    def execute_or_refuse(execute, sql, params, many, context):
        if sql.startswith("INSERT"):
            raise error
        return execute(sql, params, many, context)

    return connection.execute_wrapper(execute_or_refuse)


def told_by_sqlite(code) -> OperationalError:
    error = OperationalError("as the database words it")
    error.__cause__ = sqlite3.OperationalError()
    error.__cause__.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (told_by_sqlite(sqlite3.SQLITE_BUSY), "Others were writing for so long"),
        (told_by_sqlite(sqlite3.SQLITE_FULL), "The disk is full: this is not written"),
        (told_by_sqlite(sqlite3.SQLITE_READONLY | 4 << 8), "The book can only be read just now"),
        (OSError(errno.ENOSPC, "No space left on device"), "The disk takes no more files"),
    ],
    ids=["others write", "full", "read-only", "no room for a file"],
)
def test_what_the_disk_or_the_database_would_not_take_is_said_beside_what_was_typed(keyholder, error, said):
    jar, before = stocked("500 g"), Entry.objects.count()
    typed = {"amount": "10 g", "note": "kept words", "key": str(uuid4())}

    with refusing_from_the_first_insert(error):
        page = keyholder.post(reverse("shelf:use", args=[jar.code]), typed).content.decode()

    assert said in page and "kept words" in page
    assert Entry.objects.count() == before


def test_what_an_act_reads_after_its_entry_is_part_of_it(keyholder, monkeypatch):
    """Where that read is given up the form says "not written yet", and so it must be."""
    jar, before = stocked("500 g"), Entry.objects.count()

    def write_once_and_fail(request, form, act, deeds):
        def act_and_fail(**facts):
            act(**facts)
            raise told_by_sqlite(sqlite3.SQLITE_BUSY)

        return write_once(request, form, act_and_fail, deeds)

    monkeypatch.setattr(views, "write_once", write_once_and_fail)
    page = keyholder.post(reverse("shelf:use", args=[jar.code]), {"amount": "10 g", "key": str(uuid4())})

    assert "not written yet" in page.content.decode()
    assert Entry.objects.count() == before
