"""A hundred thousand movements over ten years: such a book is sound, and no page reads all of what grew."""

from functools import partial

import pytest
from django.db import transaction
from django.test import Client

from inventory import integrity
from inventory.models import Container, Entry, Movement, Person
from tests import plans
from tests.benchmarks import ten_years
from tests.studio.conftest import sign_in
from tests.studio.walking import walk

pytestmark = pytest.mark.django_db
MOVEMENTS = 100_000


@pytest.fixture(scope="module")
def grown(tallow_street, django_db_blocker):
    """The demo's book with ten years more."""
    with django_db_blocker.unblock(), transaction.atomic():
        before = Movement.objects.count()
        ten_years.write(MOVEMENTS)
        yield Movement.objects.count() - before
        transaction.set_rollback(True)


def test_ten_years_are_as_the_ledger_would_have_left_them(grown):
    assert grown == MOVEMENTS
    assert Entry.objects.count() > MOVEMENTS / 6
    assert Entry.objects.exclude(struck_at=None).exists()
    assert Container.objects.filter(on_hand=0).count() > 100
    assert list(integrity.integrity_errors()) == []


def test_no_page_reads_all_of_a_table_that_grows(grown):
    client, asked = Client(), {}
    sign_in(client, Person.objects.get(account__username="maren"))

    for _ in walk(partial(plans.fetched, client, asked)):
        pass

    growing = plans.growing_tables()
    assert {Movement._meta.db_table, Entry._meta.db_table} <= growing
    assert list(plans.whole_reads(asked, growing)) == []
    assert list(plans.dear_on_sqlite(asked)) == []
