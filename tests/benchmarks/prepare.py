"""Writes a year into the book at MORDANT_DATA and says, as JSON, how to ask for its pages and what they query."""

import json
import sys

import django
from django.core.management import call_command

django.setup()  # before anything that holds a model

from django.conf import settings  # noqa: E402
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY, get_user_model  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.utils.crypto import get_random_string  # noqa: E402

from studio.people.sessions import SessionStore  # noqa: E402
from studio.preparation import collect_static  # noqa: E402
from studio.server import database  # noqa: E402
from tests.benchmarks import year  # noqa: E402


def _signed_in() -> str:
    account = get_user_model().objects.first()
    session = SessionStore()
    session[SESSION_KEY] = str(account.pk)
    session[BACKEND_SESSION_KEY] = "studio.people.backend.BookBackend"
    session[HASH_SESSION_KEY] = account.get_session_auth_hash()
    session.save()
    return session.session_key


def _queries(client: Client, path: str) -> tuple[int, int]:
    """The first time somebody asks for a page, and the next time."""
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            assert client.get(path, HTTP_HOST="127.0.0.1").status_code < 500
        counts.append(len(asked))
    return counts[0], counts[1]


if __name__ == "__main__":
    call_command("migrate", verbosity=0)
    database.settle_journal()
    collect_static()
    year.write()
    key, csrf = _signed_in(), get_random_string(32)
    browser = Client()
    browser.cookies[settings.SESSION_COOKIE_NAME] = key
    print(
        json.dumps(
            {
                "cookie": f"{settings.SESSION_COOKIE_NAME}={key}; {settings.CSRF_COOKIE_NAME}={csrf}",
                "csrf": csrf,
                "queries": {path: _queries(browser, path) for path in sys.argv[1:]},
            }
        )
    )
