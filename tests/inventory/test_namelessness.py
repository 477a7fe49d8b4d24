"""A name can go, and the seals that were printed still hold."""

from datetime import date

import pytest
from django.core.management import call_command
from django.db import connection

from inventory import book, seals
from inventory.models import Entry, FactChange, Forgotten, Person, Seal
from inventory.refusals import Refused
from studio.people import inductions, operations
from studio.people.roles import MEMBER
from studio.shelf import operations as shelf
from tests.factories import WorkshopFactory, signed, stocked

pytestmark = pytest.mark.django_db
NAME = "Ada Brook"


@pytest.fixture
def ada(db):
    """Somebody who worked here, is named in every way a book names people, and left."""
    WorkshopFactory()
    operations.add(name=NAME, role=MEMBER, username="ada.brook", password="etched in blue", by=signed())
    person = Person.objects.get(name=NAME)
    inductions.induct(person, tasks=["bath"], until_on=None, by=signed(1, note=f"shown to {NAME} twice"))
    wrong = shelf.use(stocked("500 g"), amount=10_000, by=signed(2, done_by=person, note="a note of her own"))
    book.strike(wrong, by=signed(3, done_by=person), reason=f"it was not {NAME}")
    operations.leave(person, left_on=date(2026, 3, 1), by=signed(5))
    person.refresh_from_db()
    return person


def says(name) -> set[str]:
    """The tables and columns in which a name stands, looked for by the database itself."""
    found = set()
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            for column in connection.introspection.get_table_description(cursor, table):
                quoted = connection.ops.quote_name(column.name)
                sql = f"SELECT COUNT(*) FROM {connection.ops.quote_name(table)} WHERE CAST({quoted} AS text) LIKE %s"
                cursor.execute(sql, [f"%{name}%"])
                if cursor.fetchone()[0]:
                    found.add(f"{table}.{column.name}")
    return found


def test_no_table_says_the_name_any_more_and_the_seals_hold(ada):
    seals.seal()
    printed = Seal.objects.last().code
    assert {"inventory_entry.subject", "inventory_entry.note", "inventory_person.name"} <= says(NAME)

    operations.take_name_out(ada, by=signed(6))

    assert says(NAME) == says("ada.brook") == set()
    assert list(seals.errors()) == []
    assert Seal.objects.last().code == printed
    call_command("verify")


def test_what_they_did_stays_and_is_sealed_on(ada):
    entries = Entry.objects.count()
    operations.take_name_out(ada, by=signed(6))
    seals.seal()

    assert Entry.objects.count() == entries + 1
    assert {str(each.done_by) for each in Entry.objects.filter(done_by=ada)} == {f"Somebody who left ({ada.pk})"}
    assert list(seals.errors()) == []


def test_figures_of_those_lines_are_still_held_by_the_seal(ada):
    seals.seal()
    operations.take_name_out(ada, by=signed(6))
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_movement SET amount = amount - 1 WHERE amount < 0")

    assert f"is not as seal {Seal.objects.first().pk} of" in next(seals.errors())


def test_nobody_can_try_names_on_what_stands_in_their_stead(ada):
    seals.seal()
    keys = set(Entry.objects.values_list("key", flat=True))
    operations.take_name_out(ada, by=signed(6))

    for entry in Entry.objects.filter(pk__in=Forgotten.objects.filter(kind="strike").values("row")):
        assert entry.key not in keys, "the random number that the words were sealed with is gone"
    assert FactChange.objects.filter(old=NAME).count() == 0


def test_whoever_is_here_keeps_the_name():
    person = Person.objects.create(name="Ben Crane")

    with pytest.raises(Refused, match="Write down first that they left"):
        operations.take_name_out(person, by=signed())
