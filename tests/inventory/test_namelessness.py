"""A name can go, and the seals that were printed still hold."""

from datetime import date

import pytest
from django.core.management import call_command
from django.db import connection

from inventory import book, facts, seals
from inventory.models import Entry, FactChange, Forgotten, Material, Person, Seal
from inventory.refusals import Refused
from studio.people import inductions, invitations, members, operations
from studio.people.models import Invitation
from studio.people.roles import MEMBER
from studio.shelf import operations as shelf
from tests.factories import WorkshopFactory, declared, signed, stocked

pytestmark = pytest.mark.django_db
NAME = "Ada Brook"


def newcomer(name, *, role, username, by) -> Person:
    """Somebody who came in by a link."""
    members.add_all(name, role=role, with_links=True, by=by)
    invitations.accept(Invitation.objects.get(person__name=name), username=username, password="etched in blue")
    return Person.objects.get(name=name)


@pytest.fixture
def ada(db):
    """Somebody who worked here, is named in every way a book names people, and left."""
    WorkshopFactory()
    person = newcomer(NAME, role=MEMBER, username="ada.brook", by=signed())
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


@pytest.fixture
def named_after_ada(ada):
    """Things whose names say hers: one still does, one did, one is a list, one is part of another word."""
    jar = stocked("500 g", name="Ada’s salt, José")
    jar.material.refresh_from_db()
    renamed = stocked("200 g", name="Ada’s powder")
    renamed.material.name = "Powder"
    shelf.change_material(renamed.material, by=signed(3))
    stocked("5 g", name="Adamant")
    newcomer("Ben Crane", role="viewer", username="ben", by=signed(3))
    entry = shelf.use(jar, amount=1_000, by=signed(4, note="out of Ada’s jar"))
    Entry.objects.filter(pk=entry.pk).keep_allowed([["more than is usual", "Ada asked for it"]])
    return jar


def test_a_name_goes_out_of_the_names_of_things_and_out_of_reasons(named_after_ada):
    seals.seal()
    printed = Seal.objects.last().code

    operations.take_name_out(Person.objects.get(name=NAME), by=signed(6), also=["Ada"])

    assert {name for name in Material.objects.values_list("name", flat=True) if "Ada" in name} == {"Adamant"}
    assert says("Ada’s") == says("Ada asked") == says("Ada\\\\u2019s") == set()
    assert list(seals.errors()) == []
    assert Seal.objects.last().code == printed
    call_command("verify")


def test_what_a_thing_was_called_is_not_guessed_from_its_digest(named_after_ada):
    seals.seal()
    mark = named_after_ada.material.mark
    operations.take_name_out(Person.objects.get(name=NAME), by=signed(6), also=["Ada"])

    assert Material.objects.get(pk=named_after_ada.material_id).mark != mark


def test_a_thing_renamed_behind_the_book_is_still_named_after_a_name_went(named_after_ada):
    seals.seal()
    operations.take_name_out(Person.objects.get(name=NAME), by=signed(6), also=["Ada"])
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_material SET name = 'Sugar' WHERE name = 'Adamant'")

    assert f"is not as seal {Seal.objects.first().pk} of" in next(seals.errors())


def test_an_earlier_name_goes_too(ada):
    seals.seal()
    with book.entry(declared("renamed"), "renamed", signed(6)) as entry:
        facts.change(ada, {"name": "Ada Stone"}, entry=entry)
    seals.seal()

    operations.take_name_out(ada, by=signed(7))

    assert says(NAME) == says("Ada Stone") == set()
    assert list(seals.errors()) == []


def test_what_others_are_called_too_is_not_taken_out(ada):
    newcomer("Ada Lind", role="viewer", username="lind", by=signed(3))

    with pytest.raises(Refused, match="Ada Lind is called Ada too"):
        operations.take_name_out(ada, by=signed(6), also=["Ada"])


def test_whoever_is_here_keeps_the_name():
    person = Person.objects.create(name="Ben Crane")

    with pytest.raises(Refused, match="Write down first that they left"):
        operations.take_name_out(person, by=signed())
