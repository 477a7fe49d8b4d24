import pytest
from django.db import IntegrityError, transaction

from inventory import ledger
from inventory.models import AppendOnly, Container, Movement
from inventory.refusals import NotEnoughStock, Refused
from tests.factories import PlaceFactory, day, entry, stocked

pytestmark = pytest.mark.django_db


def test_use_takes_from_the_container():
    jar = stocked("500 g")

    ledger.use(jar, 120_000, entry=entry(1))

    jar.refresh_from_db()
    assert jar.on_hand == 380_000


def test_use_refuses_more_than_is_on_hand():
    jar = stocked("100 g")

    with pytest.raises(NotEnoughStock, match="Only 100 g"):
        ledger.use(jar, 101_000, entry=entry(1))

    jar.refresh_from_db()
    assert jar.on_hand == 100_000


def test_use_back_dated_before_the_jar_came_is_refused():
    jar = stocked("100 g", at=5)

    with pytest.raises(Refused, match="C[0-9]+ came on 7 March 2026. Date this later"):
        ledger.use(jar, 1_000, entry=entry(4))


def test_the_first_use_opens_the_jar_on_its_day():
    jar = stocked("100 g")

    ledger.use(jar, 1_000, entry=entry(3))

    jar.refresh_from_db()
    assert jar.opened_on == day(3).date()


def test_each_container_is_numbered():
    jar, other = stocked("1 g"), stocked("1 g")

    assert jar.code != other.code
    assert jar.code.startswith("C")


@pytest.mark.parametrize("code", ["BLUE-1", "blue-1", "Blue-1"])
def test_two_containers_cannot_carry_one_code_however_it_is_typed(code):
    jar = stocked("1 g")
    ledger.receive(jar.material, 1, entry=entry(1), place=jar.place, code="BLUE-1")

    with pytest.raises(Refused, match="BLUE-1 is on another container"):
        ledger.receive(jar.material, 1, entry=entry(1), place=jar.place, code=code)
    with pytest.raises(Refused, match="BLUE-1 is on another container"):
        ledger.split(jar, 1, entry=entry(2), place=jar.place, code=code)
    with pytest.raises(IntegrityError), transaction.atomic():
        Container.objects.create(code=code, material=jar.material, place=jar.place, received_on=day(1).date())


@pytest.mark.parametrize("typed", ["BLUE-1", "blue-1", "bLuE-1"])
def test_a_container_is_found_by_its_code_however_it_is_typed(typed):
    jar = stocked("1 g")
    blue = ledger.receive(jar.material, 1, entry=entry(1), place=jar.place, code="Blue-1")

    assert Container.objects.with_code(typed).get() == blue


def test_the_numbers_of_the_house_are_not_for_choosing():
    jar = stocked("1 g")

    with pytest.raises(Refused, match="given out by the book"):
        ledger.receive(jar.material, 1, entry=entry(1), place=jar.place, code="C99")
    with pytest.raises(Refused, match="given out by the book"):
        ledger.receive(jar.material, 1, entry=entry(1), place=jar.place, code="c99")


def test_a_count_asserts_what_is_there():
    jar = stocked("500 g")

    difference = ledger.count(jar, 470_000, entry=entry(1))

    jar.refresh_from_db()
    assert (difference, jar.on_hand) == (-30_000, 470_000)


def test_a_use_dated_before_a_count_keeps_the_counted_amount():
    jar = stocked("500 g")
    ledger.count(jar, 470_000, entry=entry(5))

    ledger.use(jar, 30_000, entry=entry(3))

    jar.refresh_from_db()
    assert jar.on_hand == 470_000
    assert list(jar.movements.filter(happened_at=day(3)).values_list("amount", "kind")) == [
        (-30_000, Movement.Kind.USED),
        (30_000, Movement.Kind.KEPT),
    ]


def test_a_use_dated_after_the_count_counts():
    jar = stocked("500 g")
    ledger.count(jar, 470_000, entry=entry(5))

    ledger.use(jar, 30_000, entry=entry(6))

    jar.refresh_from_db()
    assert jar.on_hand == 440_000


def test_a_count_between_two_counts_changes_nothing_after_the_later_one():
    jar = stocked("500 g")
    ledger.count(jar, 470_000, entry=entry(5))

    ledger.count(jar, 490_000, entry=entry(3))

    jar.refresh_from_db()
    assert jar.on_hand == 470_000


def test_a_use_before_a_count_leaves_less_for_another_use_before_it():
    jar = stocked("500 g")
    ledger.count(jar, 470_000, entry=entry(5))
    ledger.use(jar, 400_000, entry=entry(2))

    with pytest.raises(NotEnoughStock, match="Only 100 g"):
        ledger.use(jar, 200_000, entry=entry(3))


def test_a_container_is_not_counted_before_it_came():
    jar = stocked("500 g", at=5)

    with pytest.raises(Refused, match="came on 7 March 2026"):
        ledger.count(jar, 0, entry=entry(4))


def test_a_container_moves_from_place_to_place():
    jar = stocked("500 g")
    cabinet = PlaceFactory()

    ledger.move(jar, cabinet, entry=entry(1))

    jar.refresh_from_db()
    assert jar.place == cabinet


def test_a_move_written_late_does_not_undo_a_later_one():
    jar = stocked("500 g")
    home, cabinet, bench = jar.place, PlaceFactory(), PlaceFactory()
    ledger.move(jar, cabinet, entry=entry(5))

    ledger.move(jar, bench, entry=entry(3))

    jar.refresh_from_db()
    assert jar.place == cabinet
    assert jar.moves.last().from_place == home


def test_a_container_does_not_move_to_where_it_stands():
    jar = stocked("500 g")

    with pytest.raises(Refused, match="stands there already"):
        ledger.move(jar, jar.place, entry=entry(1))


def test_movements_are_never_changed_or_deleted():
    movement = stocked("500 g").movements.get()

    with pytest.raises(AppendOnly):
        movement.save()
    with pytest.raises(AppendOnly):
        movement.delete()
    with pytest.raises(AppendOnly):
        Movement.objects.update(amount=0)
    with pytest.raises(AppendOnly):
        Movement.objects.all().delete()
