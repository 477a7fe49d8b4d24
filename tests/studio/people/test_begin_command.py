"""A book that answers under https alone, or in a container, is begun at the terminal."""

import io

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Person
from studio.workshop.models import Workshop

pytestmark = pytest.mark.django_db
ASKED = {"studio": "Press Room", "keyholder": "Ada Brook", "username": "ada", "region": "us"}


def begun(monkeypatch, password="etched in blue", **asked):
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    out = io.StringIO()
    call_command("begin", stdout=out, **ASKED | asked)
    return out.getvalue()


def test_a_book_is_begun_with_what_is_usual_in_its_region(monkeypatch):
    said = begun(monkeypatch, waste_from="household", time_zone="America/Chicago")

    workshop, keyholder = Workshop.objects.get(), Person.objects.get()
    assert said == "The book of Press Room is begun; Ada Brook is its keyholder.\n"
    assert (workshop.paper, workshop.time_zone, workshop.is_household) == ("Letter", "America/Chicago", True)
    assert keyholder.is_keyholder and keyholder.account.check_password("etched in blue")


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"password": "Summer2026!"}, "Others would guess that too soon"),
        ({"time_zone": "Mars/Base"}, "time_zone"),
        ({"username": "two words"}, "without spaces"),
    ],
)
def test_what_is_not_understood_is_said_and_nothing_begins(monkeypatch, asked, sentence):
    with pytest.raises(CommandError, match=sentence):
        begun(monkeypatch, **asked)

    assert not Workshop.objects.exists()


def test_a_book_is_begun_once(monkeypatch):
    begun(monkeypatch)

    with pytest.raises(CommandError, match="begun a moment ago"):
        begun(monkeypatch)
