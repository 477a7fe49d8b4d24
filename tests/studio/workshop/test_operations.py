import pytest
from django.apps import apps

from inventory.models import AppendOnly, Entry, Movement
from inventory.refusals import Refused
from studio.workshop import operations
from studio.workshop.models import Workshop
from tests.factories import WorkshopFactory, adopted, signed, stocked

pytestmark = pytest.mark.django_db


def test_a_change_of_settings_says_what_changed():
    studio = WorkshopFactory()

    entry = operations.change(studio, name=studio.name, region="us", emergency_line="112", by=signed())

    studio.refresh_from_db()
    assert (studio.region, studio.emergency_line) == ("us", "112")
    assert str(entry) == "Changed the studio: region, emergency line"


def test_a_change_of_nothing_is_no_entry():
    studio = WorkshopFactory()

    with pytest.raises(Refused, match="Nothing is different yet"):
        operations.change(studio, name=studio.name, by=signed())

    assert not Entry.objects.exists()


def test_the_emptied_demo_holds_nothing_of_the_old_book():
    WorkshopFactory(is_demo=True)
    stocked("500 g")
    adopted()

    operations.empty_the_demo()

    left = {model.__name__ for model in apps.get_models() if model._base_manager.exists()}
    assert left == {"ContentType", "Permission"}


def test_an_own_book_is_never_emptied():
    WorkshopFactory()
    jar = stocked("500 g")

    with pytest.raises(Refused, match="never emptied"):
        operations.empty_the_demo()

    jar.refresh_from_db()
    assert jar.on_hand == 500_000


def test_a_label_of_the_demo_opens_no_container_of_the_own_book():
    WorkshopFactory(is_demo=True)
    in_the_demo = stocked("500 g")
    operations.empty_the_demo()

    own = stocked("500 g")

    assert own.code != in_the_demo.code


def test_the_guards_of_the_book_stand_again_in_the_own_one():
    WorkshopFactory(is_demo=True)
    operations.empty_the_demo()
    stocked("500 g")

    with pytest.raises(AppendOnly):
        Movement.objects.all().delete()
    assert not Workshop.objects.exists()
