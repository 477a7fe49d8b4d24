import pytest

from inventory.models import Entry, Material, Place
from inventory.refusals import NotEnoughStock, Refused
from studio.shelf import operations
from tests.factories import MaterialFactory, PlaceFactory, signed, stocked

pytestmark = pytest.mark.django_db


def test_a_receipt_puts_a_numbered_container_on_the_shelf():
    salt, shelf = MaterialFactory(name="Copper sulfate"), PlaceFactory()

    entry = operations.receive(salt, amount=2_500_000, place=shelf, batch="B-7", by=signed())

    jar = entry.movements.get().container
    assert (jar.on_hand, jar.place, jar.batch) == (2_500_000, shelf, "B-7")
    assert str(entry) == "Received 2500 g of Copper sulfate"


def test_a_use_is_one_entry_that_says_from_where():
    jar = stocked("500 g", name="Copper sulfate")

    entry = operations.use(jar, amount=120_000, by=signed(1))

    jar.refresh_from_db()
    assert jar.on_hand == 380_000
    assert str(entry) == f"Used 120 g of Copper sulfate from {jar.code}"


def test_a_use_of_more_than_is_there_writes_nothing():
    jar = stocked("100 g")

    with pytest.raises(NotEnoughStock, match="Only 100 g"):
        operations.use(jar, amount=101_000, by=signed(1))

    assert Entry.objects.count() == 1


def test_a_count_goes_before_the_book():
    jar = stocked("500 g")

    operations.count(jar, amount=470_000, by=signed(1))

    jar.refresh_from_db()
    assert jar.on_hand == 470_000


def test_a_container_is_carried_to_another_place():
    jar, bench = stocked("500 g"), PlaceFactory(name="Workbench")

    operations.move(jar, place=bench, by=signed(1))

    jar.refresh_from_db()
    assert jar.place == bench


def test_a_material_is_written_down_once():
    MaterialFactory(name="Acetone")

    with pytest.raises(Refused, match="written down already") as refusal:
        operations.add_material(MaterialFactory.build(name="acetone"), by=signed())

    assert refusal.value.field == "name"
    assert not Entry.objects.exists()


def test_what_is_known_of_a_material_is_put_right():
    salt = MaterialFactory(purity=1)
    salt.purity = 0.98

    operations.change_material(salt, by=signed())

    assert Material.objects.get().purity == 0.98


def test_two_places_do_not_share_a_name():
    PlaceFactory(name="Workbench")

    with pytest.raises(Refused, match="a place called workbench already"):
        operations.add_place(name="workbench", kind=Place.Kind.BENCH, by=signed())

    assert not Entry.objects.exists()
