"""An existing list on its pages: read, looked at, brought in once, and struck again."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.book import strike
from inventory.models import Container, Entry, Material
from studio.hazards.classification import classify_material
from studio.shelf import bringing_in
from studio.shelf.models import ImportedFile
from tests.factories import PersonFactory, PlaceFactory, signed

pytestmark = pytest.mark.django_db

IMPORT = reverse("shelf:import_file")
LIST = b"material,amount,batch\nCrystals,2.5 kg,B7\nTape,3,\nThinner,a little,\n"


def brought(client, content=LIST, name="shelf.csv"):
    return client.post(IMPORT, {"file": SimpleUploadedFile(name, content), "place": PlaceFactory().pk}, follow=True)


def confirmed(client, key=None):
    file = ImportedFile.objects.first()
    return client.post(file.get_absolute_url(), {"key": key or uuid4()}, follow=True)


def test_the_preview_says_row_by_row_what_would_happen_and_writes_nothing(keyholder):
    shown = brought(keyholder).content.decode()

    assert all(
        words in shown for words in ("2.5 kg", "new material", "no amount with a unit", "Nothing is written yet")
    )
    assert not Material.objects.exists() and not Entry.objects.exists()


def test_a_list_says_what_its_names_are_known_as(keyholder):
    rows = b"material,amount\nMuriatic acid,1 L\nHydrogen peroxide 35 %,500 mL\nFlake white,100 g\nGreen stuff,1 L\n"

    shown = brought(keyholder, rows).content.decode()
    confirmed(keyholder)

    assert "known as hydrochloric acid, 25 to 37 %" in shown and "known as white lead" in shown
    assert shown.count("known as") == 3
    words = {each.name: classify_material(each, "eu").word for each in Material.objects.all()}
    assert words == {
        "Muriatic acid": "Danger",
        "Hydrogen peroxide 35 %": "Danger",
        "Flake white": "Danger",
        "Green stuff": "needs info",
    }


def test_one_confirmation_is_one_entry_that_says_how_much_came(keyholder):
    brought(keyholder)
    key = uuid4()

    for _ in range(2):
        confirmed(keyholder, key)

    assert [str(entry) for entry in Entry.objects.all()] == ["Brought in 2 containers from shelf.csv"]
    assert Container.objects.count() == 2


def test_the_same_file_is_not_brought_in_twice(keyholder):
    brought(keyholder)
    confirmed(keyholder)

    answer = brought(keyholder)

    assert "That very file was brought in" in answer.content.decode()


def test_a_struck_list_may_be_brought_in_again(keyholder):
    brought(keyholder)
    confirmed(keyholder)
    strike(Entry.objects.get(), by=signed(), reason="wrong shelf")
    assert not Container.objects.on_the_shelf().exists()

    brought(keyholder)
    confirmed(keyholder)

    assert Container.objects.on_the_shelf().count() == 2


def test_a_list_of_what_is_there_brings_nothing(keyholder):
    brought(keyholder)
    confirmed(keyholder)

    shown = brought(keyholder, LIST + b"\n").content.decode()

    assert "already there" in shown
    assert "Nothing in it is new to the book" in shown
    assert "Bring them in" not in shown


def test_copper_sulfate_must_say_which_it_is_first(keyholder):
    shown = brought(keyholder, b"material,amount\nCopper sulphate,1 kg\n").content.decode()

    assert "Blue crystals or pale powder?" in shown


def test_a_preview_that_nobody_brought_in_is_kept_for_a_month(keyholder, today):
    for days in (1, 2, 20, 33):
        today(days)
        brought(keyholder, LIST + b"Day %d,1,\n" % days, name=f"{days}.csv")
        if days == 1:
            confirmed(keyholder)

    assert sorted(ImportedFile.objects.values_list("name", flat=True)) == ["1.csv", "20.csv", "33.csv"]


def test_a_long_list_says_how_far_it_is_to_whoever_waits(keyholder, member, settings):
    settings.CACHES = settings.CACHES | {"shared": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    brought(keyholder)
    address = reverse("shelf:import_progress", args=[ImportedFile.objects.get().pk])
    assert keyholder.get(address).content == b""

    confirmed(keyholder)

    assert keyholder.get(address).content == b"adding up what came"
    assert member.get(address).status_code == 403


@pytest.mark.parametrize(("content", "said"), [(b"", "empty"), (b"material\nTape\n", "no column “amount”")])
def test_a_file_that_cannot_be_read_says_why(keyholder, content, said):
    answer = brought(keyholder, content)

    assert said in answer.content.decode()
    assert not ImportedFile.objects.exists()


def test_a_long_preview_is_paged_and_asks_the_book_little(keyholder, django_assert_max_num_queries):
    content = b"material,amount\n" + b"".join(b"Tape %d,3\n" % number for number in range(500))
    file = bringing_in.read(content, "long.csv", place=PlaceFactory(), by=PersonFactory())

    with django_assert_max_num_queries(10):
        shown = keyholder.get(file.get_absolute_url(), {"page": 3}).content.decode()

    assert "page 3 of 10" in shown
