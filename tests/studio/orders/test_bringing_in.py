"""Suppliers, packs and prices of a list: they come in its one entry, and one strike takes them off again."""

from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory import integrity
from inventory.book import strike
from inventory.models import Container, Entry, Material, Place
from studio.orders.models import Pack, Supplier
from studio.shelf.models import ImportedFile
from tests.factories import PlaceFactory, signed

pytestmark = pytest.mark.django_db

LIST = """name;amount;each;where;supplier;price;order code
Hard ground;2;250 mL;Bench;Acid & Sons;12,50;HG-1
Tape;3 rolls;;Cellar;acid & sons;4;
Whiting;1,2 kg;;Cellar;Chalk Pit;1.250,00 €;
Rags;2 kg;;Cellar;Chalk Pit;;
Soap;1 L;;Cellar;Chalk Pit;$3;
"""


def brought(client, content=LIST, name="shelf.csv"):
    file = SimpleUploadedFile(name, content.encode())
    place = Place.objects.first() or PlaceFactory()
    client.post(reverse("shelf:import_file"), {"file": file, "place": place.pk}, follow=True)
    return client.post(ImportedFile.objects.first().get_absolute_url(), {"key": uuid4()}, follow=True)


def sold():
    packs = Pack.objects.sold().select_related("supplier", "material")
    return {(str(pack.supplier), str(pack.material), pack.size, pack.code): pack.price_cents for pack in packs}


SOLD = {
    ("Acid & Sons", "Hard ground", "250 mL", "HG-1"): 1250,
    ("Acid & Sons", "Tape", "3 rolls", ""): 400,
    ("Chalk Pit", "Whiting", "1.2 kg", ""): 125_000,
    ("Chalk Pit", "Rags", "2 kg", ""): None,
    ("Chalk Pit", "Soap", "1 L", ""): None,
}


def test_a_list_brings_who_sells_what_in_which_packs_at_which_price(keyholder):
    brought(keyholder)

    assert sold() == SOLD
    assert Entry.objects.count() == 1
    assert list(integrity.integrity_errors()) == []


def test_one_strike_takes_containers_materials_places_suppliers_and_packs_off_again(keyholder):
    brought(keyholder)

    strike(Entry.objects.get(), by=signed(), reason="wrong studio")

    assert not Container.objects.on_the_shelf().exists()
    assert not Material.objects.listed().exists()
    assert not Place.objects.listed().filter(name__in=("Bench", "Cellar")).exists()
    assert not Supplier.objects.listed().exists()
    assert sold() == {}
    assert list(integrity.integrity_errors()) == []
    for page in ("shelf:shelf", "orders:suppliers", "orders:orders", "shelf:receive"):
        shown = keyholder.get(reverse(page)).content.decode()
        assert "Hard ground" not in shown and "Chalk Pit" not in shown, page


def test_a_struck_list_comes_again_with_all_of_it(keyholder):
    brought(keyholder)
    strike(Entry.objects.get(), by=signed(), reason="wrong studio")

    brought(keyholder)

    assert sold() == SOLD
    assert Supplier.objects.listed().count() == Supplier.objects.count() == 2
    assert Container.objects.on_the_shelf().count() == 6
    assert list(integrity.integrity_errors()) == []


def test_a_pack_that_is_known_changes_its_price_and_a_strike_gives_the_old_one_back(keyholder):
    brought(keyholder)

    brought(keyholder, LIST.replace("12,50", "13,90").replace("2;250 mL", "3;250 mL"), name="next.csv")

    assert sold() == SOLD | {("Acid & Sons", "Hard ground", "250 mL", "HG-1"): 1390}
    strike(Entry.objects.order_by("-pk")[0], by=signed(), reason="wrong prices")
    assert sold() == SOLD


def test_what_somebody_received_since_stays_on_the_lists(keyholder):
    brought(keyholder)
    first = Entry.objects.get()
    brought(keyholder, "name;amount;batch\nTape;2 rolls;B2\n", name="more.csv")

    strike(first, by=signed(), reason="wrong studio")

    assert [str(material) for material in Material.objects.listed()] == ["Tape"]


def test_a_row_without_a_price_takes_none_away(keyholder):
    brought(keyholder)

    brought(keyholder, LIST.replace("12,50", "").replace("2;250 mL", "3;250 mL"), name="next.csv")

    assert sold() == SOLD


def test_who_sells_it_in_packs_nobody_knows_of_is_said(keyholder):
    file = SimpleUploadedFile("shelf.csv", b"name;amount;supplier\nRosin;0;Chalk Pit\n")
    keyholder.post(reverse("shelf:import_file"), {"file": file, "place": PlaceFactory().pk})

    shown = keyholder.get(ImportedFile.objects.get().get_absolute_url()).content.decode()

    assert "Who sells it stays behind: no size of a pack is told." in shown
