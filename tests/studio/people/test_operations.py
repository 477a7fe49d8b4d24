from datetime import date

import pytest

from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.people import operations, roles
from studio.workshop.models import Workshop
from tests.factories import PersonFactory, signed

pytestmark = pytest.mark.django_db


def role(person):
    return Person.objects.get(pk=person.pk).role


def test_a_book_begins_with_its_first_keyholder_and_a_place_for_things():
    studio = Workshop(name="Test Print Room", time_zone="Europe/Berlin")

    keyholder = operations.begin(studio, name="Ada Brook", username="ada", password="etched in blue")

    assert role(keyholder) == roles.KEYHOLDER
    assert keyholder.account.check_password("etched in blue")
    assert Entry.objects.get().subject == "Began the book of Test Print Room"


def test_a_book_begins_once():
    operations.begin(Workshop(name="First"), name="Ada Brook", username="ada", password="etched in blue")

    with pytest.raises(Refused, match="begun a moment ago"):
        operations.begin(Workshop(name="Second"), name="Ben Crane", username="ben", password="etched in blue")

    assert Workshop.objects.get().name == "First"


def test_a_member_becomes_a_keyholder():
    person = PersonFactory()

    entry = operations.change_role(person, role=roles.KEYHOLDER, by=signed())

    assert role(person) == roles.KEYHOLDER
    assert str(entry) == f"{person} is keyholder now"


def test_the_only_keyholder_stays_one():
    keyholder = PersonFactory(role=roles.KEYHOLDER)

    with pytest.raises(Refused, match="the only keyholder"):
        operations.change_role(keyholder, role=roles.MEMBER, by=signed())

    assert role(keyholder) == roles.KEYHOLDER


def test_one_of_two_keyholders_can_become_a_member():
    keyholder, _ = PersonFactory.create_batch(2, role=roles.KEYHOLDER)

    operations.change_role(keyholder, role=roles.MEMBER, by=signed())

    assert role(keyholder) == roles.MEMBER


def test_whoever_left_stays_named_and_does_not_sign_in():
    person = PersonFactory()

    operations.leave(person, left_on=date(2026, 3, 1), by=signed())

    person.refresh_from_db()
    assert person.left_on == date(2026, 3, 1)
    assert not person.signs_in


def test_the_only_keyholder_does_not_leave():
    keyholder = PersonFactory(role=roles.KEYHOLDER)

    with pytest.raises(Refused, match="the only keyholder"):
        operations.leave(keyholder, left_on=date(2026, 3, 1), by=signed())


def test_a_keyholder_who_left_does_not_count_as_one():
    staying, leaving = PersonFactory.create_batch(2, role=roles.KEYHOLDER)
    operations.leave(leaving, left_on=date(2026, 3, 1), by=signed())

    with pytest.raises(Refused, match="the only keyholder"):
        operations.change_role(staying, role=roles.MEMBER, by=signed())


def test_somebody_comes_back_with_the_old_role():
    person = PersonFactory()
    operations.leave(person, left_on=date(2026, 3, 1), by=signed())

    operations.come_back(person, by=signed(1))

    assert role(person) == roles.MEMBER
