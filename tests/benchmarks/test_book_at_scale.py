"""What a page costs in a book of a million movements, all of one jar, beside a book of a thousand."""

import time
from datetime import timedelta
from functools import partial

import pytest
from django.core.cache import cache
from django.db import connection
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone

from inventory.book import Signed
from inventory.models import Container, Entry, Movement
from studio.book.filters import kinds_written
from studio.book.paging import BookKey
from studio.people.roles import KEYHOLDER
from studio.shelf import operations
from tests.factories import PersonFactory, WorkshopFactory, stocked

pytestmark = [pytest.mark.benchmark_ratio, pytest.mark.django_db]

FEW, MANY = 1_000, 1_000_000
ROUNDS = 20
FLOOR, GOAL = 1.3, 1.1


@pytest.fixture
def keyholder():
    WorkshopFactory()
    client = Client()
    client.person = PersonFactory(role=KEYHOLDER)
    with override_settings(AXES_ENABLED=False):
        client.force_login(client.person.account, backend="studio.people.backend.BookBackend")
    return client


@pytest.fixture
def jar():
    return stocked("10 kg", name="Copper sulfate crystals")


def test_a_page_of_a_long_book_costs_what_a_page_of_a_short_one_does(keyholder, jar, capsys):
    _use_often(jar, keyholder.person, FEW)
    short = {name: _cost(act) for name, act in _acts(keyholder, jar).items()}

    _use_often(jar, keyholder.person, MANY - FEW)
    long = {name: _cost(act) for name, act in _acts(keyholder, jar).items()}

    with capsys.disabled():
        for name, cost in long.items():
            ratio = cost / short[name]
            print(f"\n{name}: {ratio:.2f} (floor {FLOOR}, goal {GOAL}), {1e3 * cost:.1f} ms", end="")
    for name, cost in long.items():
        assert cost / short[name] <= FLOOR, name


def test_a_word_that_nobody_wrote_costs_the_same_however_long_the_book_is(keyholder, jar, capsys):
    act = partial(keyholder.get, reverse("book:book"), {"text": "dragon"})
    _use_often(jar, keyholder.person, MANY // 10)
    short = _cost(act)

    _use_often(jar, keyholder.person, MANY - MANY // 10)
    long = _cost(act)

    with capsys.disabled():
        print(f"\na word nobody wrote: {long / short:.2f} (floor {FLOOR}, goal {GOAL}), {1e3 * long:.1f} ms", end="")
    assert long / short <= FLOOR


def _acts(keyholder, jar) -> dict:
    """What is timed: pages made anew, and a use written."""
    middle = Entry.objects.order_by("pk")[Entry.objects.count() // 2]
    pages = {
        "the book": reverse("book:book"),
        "the middle of the book": f"{reverse('book:book')}?before={BookKey.of(middle)}",
        "the book of one person": f"{reverse('book:book')}?done_by={keyholder.person.pk}",
        "a container": reverse("shelf:container", args=[jar.code]),
        "a material": reverse("shelf:material", args=[jar.material_id]),
        "the shelf": reverse("shelf:shelf"),
        "an entry": reverse("book:entry", args=[middle.pk]),
    }
    acts = {name: partial(keyholder.get, path) for name, path in pages.items()}
    return acts | {"a use": partial(operations.use, jar, amount=1, by=Signed(done_by=keyholder.person))}


def _cost(act) -> float:
    """Processor time of the quickest of some rounds: SQLite works in this process, the neighbours do not. [s]"""
    took = []
    for _ in range(ROUNDS):
        cache.clear()  # or a page would come as it was kept
        kinds_written()  # a worker looks them up in the book once
        began = time.process_time()
        act()
        took.append(time.process_time() - began)
    return min(took)


def _use_often(jar, person, times) -> None:
    """So many uses of a milligram, as the ledger would have left them; through it they would take an hour."""
    first = Entry.objects.latest("pk").pk + 1
    now = timezone.now()
    moments = [(number, now - timedelta(minutes=MANY + first - number)) for number in range(first, first + times)]
    _insert(Entry, (_used(number, moment, person, now) for number, moment in moments))
    _insert(Movement, (_taken(number, moment, jar) for number, moment in moments))
    Container.objects.filter(pk=jar.pk).update(on_hand=jar.on_hand - times)
    jar.refresh_from_db()


def _used(number, moment, person, now) -> Entry:
    return Entry(pk=number, kind="used", subject="Used 1 mg", done_by=person, happened_at=moment, recorded_at=now)


def _taken(number, moment, jar) -> Movement:
    return Movement(entry_id=number, container=jar, happened_at=moment, amount=-1, kind=Movement.Kind.USED)


def _insert(model, rows) -> None:
    """What `bulk_create` does, in a tenth of its time."""
    fields = [field for field in model._meta.concrete_fields if model is Entry or not field.primary_key]
    columns = ", ".join(connection.ops.quote_name(field.column) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    values = (
        tuple(field.get_db_prep_save(getattr(row, field.attname), connection) for field in fields) for row in rows
    )
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {model._meta.db_table} ({columns}) VALUES ({places})", values)
