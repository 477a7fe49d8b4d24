import pytest
from django.test import Client, override_settings
from django.utils import timezone

from studio.people.roles import KEYHOLDER, MEMBER, VIEWER
from tests.factories import PersonFactory, WorkshopFactory, day
from tests.studio.browser import chromium, demo, demo_folder, empty_studio, maren  # noqa: F401


@pytest.fixture
def today(monkeypatch):
    """Stops the clock so many days into the book."""

    def stop(days):
        monkeypatch.setattr(timezone, "now", lambda: day(days))

    return stop


@pytest.fixture
def studio(db):
    """A studio's book that has been begun."""
    return WorkshopFactory()


@pytest.fixture
def stranger(studio):
    """A browser that nobody has signed in with."""
    return Client()


@pytest.fixture
def member(studio):
    """A member's browser, signed in; `person` says whose."""
    return _signed_in(MEMBER)


@pytest.fixture
def keyholder(studio):
    """A keyholder's browser, signed in; `person` says whose."""
    return _signed_in(KEYHOLDER)


@pytest.fixture
def viewer(studio):
    """A viewer's browser, signed in; `person` says whose."""
    return _signed_in(VIEWER)


def _signed_in(role):
    client = Client()
    client.person = PersonFactory(role=role)
    sign_in(client, client.person)
    return client


def sign_in(client, person):
    # the throttle of sign-ins asks for an address, and this short cut comes from none
    with override_settings(AXES_ENABLED=False):
        client.force_login(person.account, backend="studio.people.backend.BookBackend")
