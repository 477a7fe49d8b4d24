from functools import partial

import pytest

from inventory import book, integrity, ledger
from inventory.book import entry as open_entry
from inventory.models import Container, Entry
from inventory.refusals import Refused
from studio.orders import operations
from studio.orders.models import OrderLine, Pack, Shortage, Supplier
from tests.at_once import at_once
from tests.factories import MaterialFactory, PersonFactory, PlaceFactory, signed, stocked
from tests.studio.orders.shop import PackFactory, SupplierFactory, again, ordered

pytestmark = pytest.mark.django_db


def receive(line, packs, at=1, **typed):
    return operations.receive(line, packs=packs, by=signed(at), **{"place": PlaceFactory()} | typed)


# suppliers and packs


def test_a_supplier_is_written_down_once():
    SupplierFactory(name="Larkhithe")

    with pytest.raises(Refused, match="larkhithe is written down already") as refusal:
        operations.add_supplier(Supplier(name="larkhithe"), by=signed())

    assert refusal.value.field == "name"
    assert not Entry.objects.exists()


def test_a_pack_is_written_down_once():
    pack = PackFactory(code="CS-1")
    twin = Pack(material=pack.material, supplier=pack.supplier, amount=pack.amount, price_cents=1, code="CS-1")

    with pytest.raises(Refused, match="pack of 2500 g is written down already"):
        operations.add_pack(twin, by=signed())


def test_a_pack_that_costs_more_now_leaves_old_orders_as_they_were():
    line = ordered()
    line.pack.price_cents = 9_900

    operations.change_pack(line.pack, by=signed(1))

    assert again(line).price_cents == 3_100


# ordering


def test_an_order_is_one_entry_that_says_what_was_asked_of_whom():
    pack = PackFactory(material__name="Copper sulfate", supplier__name="Larkhithe")

    entry = operations.order(pack.supplier, packs={pack: 2}, by=signed())

    assert str(entry) == "Ordered from Larkhithe: 2 × 2500 g Copper sulfate"
    assert (entry.order.supplier, entry.order.lines.get().packs) == (pack.supplier, 2)
    assert [change.how for change in entry.changes()] == ["2 × 2500 g Copper sulfate ordered"]


def test_an_order_of_nothing_is_none():
    with pytest.raises(Refused, match="how many packs of something"):
        operations.order(SupplierFactory(), packs={}, by=signed())


def test_nobody_orders_twice_unasked():
    line = ordered(2, done_by=PersonFactory(name="Tobi Reyne"))

    with pytest.raises(Refused, match="Ordered by Tobi Reyne, 2 March: 2 × 2500 g. Tick below") as refusal:
        operations.order(line.order.supplier, packs={line.pack: 1}, by=signed(1))

    assert refusal.value.field == f"packs_{line.pack_id}"
    assert OrderLine.objects.count() == 1


def test_nobody_orders_twice_from_another_supplier_either():
    line = ordered()
    elsewhere = PackFactory(material=line.pack.material)

    with pytest.raises(Refused, match="Ordered by"):
        operations.order(elsewhere.supplier, packs={elsewhere: 1}, by=signed(1))


def test_more_is_ordered_when_somebody_means_it():
    line = ordered()

    operations.order(line.order.supplier, packs={line.pack: 1}, more=[line.pack.material], by=signed(1))

    assert OrderLine.objects.awaited().count() == 2


def test_what_came_or_was_cancelled_is_ordered_again_without_a_question():
    line = ordered()
    receive(line, 1)
    second = operations.order(line.order.supplier, packs={line.pack: 1}, by=signed(2))
    book.strike(second, by=signed(3), reason="too dear")

    operations.order(line.order.supplier, packs={line.pack: 1}, by=signed(4))

    assert OrderLine.objects.awaited().count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_two_people_who_order_the_same_at_the_same_moment_one_is_asked():
    pack, by = PackFactory(), signed()

    ends = at_once([partial(operations.order, pack.supplier, packs={pack: 1}, by=by)] * 2)

    assert sorted(type(end).__name__ for end in ends) == ["Entry", "Refused"]
    assert OrderLine.objects.count() == 1


# receiving


def test_each_pack_becomes_a_container_of_its_own():
    line, shelf = ordered(3), PlaceFactory()

    entry = receive(line, 2, place=shelf, batch="B-7")

    jars = Container.objects.filter(movements__entry=entry)
    assert {(jar.on_hand, jar.place, jar.batch) for jar in jars} == {(2_500_000, shelf, "B-7")}
    assert jars.count() == 2
    assert (again(line).received, again(line).rest) == (2, 1)
    assert list(integrity.integrity_errors()) == []


def test_a_receipt_says_what_came_and_of_which_order():
    line = ordered(2, pack=PackFactory(material__name="Copper sulfate", supplier__name="Larkhithe"))

    entry = receive(line, 1)

    assert str(entry) == "Received from Larkhithe: 1 × 2500 g of Copper sulfate"
    assert "of 2 × 2500 g Copper sulfate, 1 came" in [change.how for change in entry.changes()]


def test_two_volunteers_do_not_receive_one_box_twice():
    line = ordered(2)
    receive(line, 2, at=1)

    with pytest.raises(Refused, match=r"Nothing of it is still to come: 2 came \(Printer \d+, 3 March\)") as refusal:
        receive(line, 2, at=2)

    assert refusal.value.field == "packs"
    assert Container.objects.count() == 2


@pytest.mark.django_db(transaction=True)
def test_two_volunteers_at_the_same_moment_receive_it_once():
    line, shelf, by = ordered(1), PlaceFactory(), signed(1)

    ends = at_once([partial(operations.receive, line, packs=1, place=shelf, by=by)] * 2)

    assert sorted(type(end).__name__ for end in ends) == ["Entry", "LineRefused"]
    assert Container.objects.count() == 1


def test_more_than_was_ordered_is_questioned():
    line = ordered(2)

    with pytest.raises(Refused, match="2 of 2 still to come"):
        receive(line, 3)


def test_nothing_came_before_it_was_ordered():
    with pytest.raises(Refused, match="ordered on 7 March only") as refusal:
        receive(ordered(at=5), 1, at=4)

    assert refusal.value.field == "happened_at"


def test_no_packs_and_no_last_word_is_no_receipt():
    with pytest.raises(Refused, match="Say how many packs came"):
        receive(ordered(), 0)


def test_packs_that_came_stand_somewhere():
    with pytest.raises(Refused, match="Say where it was put"):
        receive(ordered(), 1, place=None)


def test_the_rest_that_will_not_come_is_awaited_no_longer():
    line = ordered(3)
    receive(line, 1)

    entry = receive(line, 0, is_last=True)

    assert again(line).rest == 0
    assert "no more Material" in str(entry)
    assert not OrderLine.objects.awaited().exists()


def test_a_struck_receipt_is_awaited_again():
    line = ordered(2)
    entry = receive(line, 2)

    book.strike(entry, by=signed(2), reason="the neighbour's box")

    assert again(line).rest == 2
    assert not Container.objects.on_the_shelf().exists()


def test_a_cancelled_order_is_not_received():
    line = ordered()
    book.strike(line.order.entry, by=signed(1), reason="sold out")

    with pytest.raises(Refused, match="This order was cancelled: sold out"):
        receive(line, 1, at=2)


# saying that it is low


def test_something_is_marked_low_once():
    salt = MaterialFactory(name="Copper sulfate")
    entry = operations.mark_low(salt, by=signed(done_by=PersonFactory(name="Nell Varga")))

    with pytest.raises(Refused, match="Marked already, by Nell Varga, 2 March"):
        operations.mark_low(salt, by=signed(1))

    assert str(entry) == "Low on Copper sulfate"


@pytest.mark.parametrize("answer", ["ordered", "received", "struck"])
def test_a_mark_stands_until_it_is_answered(answer):
    jar = stocked("100 g")
    pack = PackFactory(material=jar.material)
    entry = operations.mark_low(jar.material, by=signed(1))
    assert Shortage.objects.unanswered().count() == 1

    if answer == "ordered":
        ordered(pack=pack, at=2)
    elif answer == "received":
        line = ordered(pack=pack, at=2)
        receive(line, 1, at=3)
        book.strike(line.order.entry, by=signed(4), reason="a slip")
    else:
        book.strike(entry, by=signed(2), reason="found some")

    assert not Shortage.objects.unanswered().exists()


def test_a_jar_filled_from_another_leaves_the_mark_standing():
    jar = stocked("100 g")
    operations.mark_low(jar.material, by=signed(1))

    with open_entry("split", "split", signed(2)) as entry:
        ledger.split(jar, 20_000, entry=entry, place=PlaceFactory())

    assert Shortage.objects.unanswered().count() == 1


def test_a_cancelled_order_leaves_the_mark_standing():
    line_of = PackFactory()
    operations.mark_low(line_of.material, by=signed(1))
    line = ordered(pack=line_of, at=2)

    book.strike(line.order.entry, by=signed(3), reason="sold out")

    assert Shortage.objects.unanswered().count() == 1
