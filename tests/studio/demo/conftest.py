from collections.abc import Iterator

import pytest
from django.db import transaction

from studio.demo import load


@pytest.fixture(scope="package")
def tallow_street(django_db_setup, django_db_blocker) -> Iterator[None]:
    """The demo's book, written once for all that is asked of it."""
    with django_db_blocker.unblock(), transaction.atomic():
        load.load()
        yield
        transaction.set_rollback(True)
