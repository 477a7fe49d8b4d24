from collections.abc import Collection
from datetime import datetime
from threading import Thread

import pytest
from django.db import connection
from django.db.models import QuerySet

from inventory.asked_often import asked_often
from inventory.models import Entry, Movement, Person
from tests.factories import PersonFactory, day, entry, stocked

pytestmark = pytest.mark.django_db


@asked_often
def written_by(person: int, since: datetime) -> QuerySet[Entry]:
    return Entry.objects.filter(done_by=person, happened_at__gte=since).select_related("done_by").order_by("pk")


@asked_often
def named(name: str) -> QuerySet[Person, int]:
    return Person.objects.filter(name=name).values_list("pk", flat=True)


@asked_often
def of_kinds(kinds: Collection[str], people: Collection[int]) -> "QuerySet[Entry, int]":
    return Entry.objects.filter(kind__in=kinds, done_by__in=people).order_by("pk").values_list("pk", flat=True)


@asked_often
def amounts_above(amount: int) -> "QuerySet[Movement, tuple[int, str]]":
    return Movement.objects.filter(amount__gt=amount).order_by("pk").values_list("amount", "kind")


def test_a_query_answers_what_it_is_told_each_time():
    early, late = entry(at=1), entry(at=5)

    assert written_by(early.done_by_id, day(0)) == [early]
    assert written_by(late.done_by_id, day(2)) == [late]
    assert written_by(early.done_by_id, day(2)) == []


def test_its_rows_are_those_of_the_query_it_was_built_from(django_assert_num_queries):
    written = entry(at=1)

    with django_assert_num_queries(1):
        [found] = written_by(person=written.done_by_id, since=day(1))
        assert found.done_by == written.done_by

    assert (found.happened_at, found.recorded_at) == (written.happened_at, written.recorded_at)


def test_it_is_told_any_number_of_values_behind_an_in():
    first, second, third = entry(at=1), entry(at=2), entry(at=3)
    everybody = {each.done_by_id for each in (first, second, third)}

    assert of_kinds({first.kind}, everybody) == [first.pk, second.pk, third.pk]
    assert of_kinds([first.kind, "none of the kinds"], [second.done_by_id]) == [second.pk]
    assert of_kinds([first.kind], range(10_000, 20_000)) == []
    assert of_kinds([], everybody) == []


def test_it_sees_what_was_written_since_it_was_first_asked():
    assert amounts_above(0) == []

    stocked("2 g")

    assert amounts_above(0) == [(2000, "received")]
    assert amounts_above(2000) == []


@pytest.mark.django_db(transaction=True)
def test_every_thread_asks_by_its_own_connection():
    PersonFactory(name="Tobi")
    lea = PersonFactory(name="Lea")
    found = [named("Lea")]

    def ask():
        try:
            found.append(named("Lea"))
        finally:
            connection.close()

    for _ in range(2):
        thread = Thread(target=ask)
        thread.start()
        thread.join()

    assert found == [[lea.pk]] * 3
