"""What each row of a list would do to the book, and what all of them did."""

from datetime import date

import pytest

from inventory import book, importing, integrity, months
from inventory.book import strike
from inventory.importing import Outcome
from inventory.models import Container, Material, MonthSum, Place
from studio.shelf import operations
from tests.factories import MaterialFactory, PlaceFactory, signed, stocked

pytestmark = pytest.mark.django_db


@pytest.fixture
def place():
    return PlaceFactory(name="Rack")


def planned(place, *rows, **kwargs):
    return importing.plan(list(enumerate(rows, 2)), cups="metric", place=place, **kwargs)


def written(place, *rows):
    with book.entry("brought in", "list", signed(5)) as entry:
        importing.write(planned(place, *rows), entry=entry)
    return entry


def row(material="Tape", amount="3", **cells):
    return {"material": material, "amount": amount} | cells


def outcomes(lines):
    return [line.outcome for line in lines]


# what would happen


def test_a_new_name_is_a_new_material_once(place):
    assert outcomes(planned(place, row(), row())) == [Outcome.NEW_MATERIAL, Outcome.NEW_CONTAINER]


def test_a_known_material_gets_a_container_whatever_its_case(place):
    MaterialFactory(name="Crystals")

    assert outcomes(planned(place, row("crystals", "1 kg"))) == [Outcome.NEW_CONTAINER]


@pytest.mark.parametrize(
    ("amount", "unit", "dimension", "shown"),
    [
        ("2,5", "kg", "mass", "2.5 kg"),
        ("750 mL", "", "volume", "750 mL"),
        ("9x12 in", "", "area", "108 in²"),
        ("30 cm", "", "length", "30 cm"),
        ("4", "", "count", "4 pieces"),
    ],
)
def test_what_a_material_is_measured_in_follows_from_its_unit(place, amount, unit, dimension, shown):
    [line] = planned(place, row(amount=amount, unit=unit))

    assert (line.unit[0], line.shown) == (dimension, shown)


def test_a_code_on_the_shelf_is_already_there(place):
    jar = stocked("500 g", name="Crystals")

    assert outcomes(planned(place, row("Crystals", "500 g", code=jar.code))) == [Outcome.THERE]


def test_of_two_equal_rows_one_is_there_when_one_was(place):
    jar = stocked("500 g", name="Crystals")
    same = row("Crystals", "500 g", place=str(jar.place))

    assert outcomes(planned(place, same, same)) == [Outcome.THERE, Outcome.NEW_CONTAINER]


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (row("", "3"), "names no material"),
        (row(amount="some"), "no amount with a unit"),
        (row(amount="1,000 g"), "no amount with a unit"),
        (row(amount="0"), "nothing of it"),
        (row(code="two words"), "letters, digits and hyphens"),
        (row(code="C999"), "given out by the book"),
        (row(code="c999"), "given out by the book"),
        (row(received="31.3.2026"), "no day"),
        (row(received="2999-01-01"), "not come yet"),
        (row(opened="2999-01-01"), "not come yet"),
        (row("Salt", "1 kg", in_a_bath="green"), "nothing in a bath"),
        (row("Salt", "1 L", in_a_bath="blue crystals"), "measured by mass, not by volume"),
        (row(purity="pure"), "under purity is no number"),
        (row(purity="120 %"), "outside 0 to 100 %"),
        (row("Salt", "1 kg", reorder_at="2 L"), "measures volume"),
        (row("x" * 121), "longer than 120"),
    ],
)
def test_a_row_that_is_not_understood_says_why(place, cells, said):
    [line] = planned(place, cells)

    assert line.outcome is Outcome.NOT_UNDERSTOOD
    assert said in line.why


def test_a_material_is_not_measured_in_another_dimension(place):
    MaterialFactory(name="Crystals")

    [line] = planned(place, row("Crystals", "3 L"))

    assert "mass is asked for" in line.why


def test_a_code_of_another_material_is_not_taken_over(place):
    jar = stocked("500 g", name="Crystals")

    [line] = planned(place, row("Tape", "3", code=jar.code))

    assert "on another container" in line.why


def test_two_rows_of_one_code_are_one_container(place):
    lines = planned(place, row(code="T-1"), row(code="t-1"))

    assert outcomes(lines) == [Outcome.NEW_MATERIAL, Outcome.THERE]


def test_a_name_that_leaves_a_question_open_is_asked_about(place):
    [line] = planned(place, row("Salt", "1 kg"), ask=lambda name: f"Which {name}?")

    assert line.why == "Which Salt?"


def test_a_list_that_says_what_it_is_in_a_bath_is_not_asked(place):
    [line] = planned(place, row("Salt", "1 kg", in_a_bath="Blue crystals"), ask=lambda name: f"Which {name}?")

    assert line.outcome is Outcome.NEW_MATERIAL


# what was written


def test_what_a_list_knows_of_a_new_material_is_kept(place):
    written(place, row("Salt", "2.5 kg", in_a_bath="pale powder", purity="98 %", reorder_at="500 g"))
    written(place, row("Tape", "3 rolls", reorder_at="2"))

    salt, tape = Material.objects.order_by("pk")
    assert (salt.bath_use, salt.purity, salt.reorder_level) == (Material.BathUse.PALE_POWDER, 0.98, 500_000)
    assert (tape.bath_use, tape.purity, tape.reorder_level) == ("", 1.0, 2)


def test_what_is_known_of_a_material_already_stays(place):
    MaterialFactory(name="Salt", reorder_level=1_000)

    written(place, row("Salt", "2.5 kg", reorder_at="500 g", purity="98 %"))

    salt = Material.objects.get()
    assert (salt.reorder_level, salt.purity) == (1_000, 1.0)


def test_an_open_jar_comes_open_and_keeps_as_long_as_its_material_does(place):
    MaterialFactory(name="Ground", opened_months=6)

    written(place, row("Ground", "1 kg", opened="2026-01-31", use_by="2027-01-31"), row("Tape", "3"))

    ground, tape = Container.objects.order_by("pk")
    assert (ground.opened_on, ground.received_on) == (date(2026, 1, 31), date(2026, 1, 31))
    assert (ground.use_by_on, tape.opened_on) == (date(2026, 7, 31), None)
    assert ground.openings.get().opened_on == date(2026, 1, 31)


def test_a_jar_whose_opening_was_struck_comes_again_as_its_new_list_says(place):
    strike(written(place, row(code="T-1", opened="2026-01-31")), by=signed(6), reason="wrong list")

    written(place, row(code="T-1"))

    assert Container.objects.get().opened_on is None


def test_a_long_list_says_how_far_it_has_come(place):
    told = []
    lines = planned(place, *[row(f"Tape {number}") for number in range(501)])

    with book.entry("brought in", "list", signed(5)) as entry:
        importing.write(lines, entry=entry, tell=told.append)

    assert told == ["0 of 501 containers", "500 of 501 containers", "adding up what came"]


def test_all_rows_come_as_one_entry(place):
    entry = written(place, row("Crystals", "2.5 kg", code="X-1", batch="B7", use_by="2027-01-31"), row(place="Bench"))

    crystals, tape = Container.objects.order_by("pk")
    assert (crystals.code, crystals.batch, crystals.use_by_on) == ("X-1", "B7", date(2027, 1, 31))
    assert (crystals.on_hand, crystals.place, str(crystals.material)) == (2_500_000, place, "Crystals")
    assert (tape.code, tape.on_hand, str(tape.place)) == (f"C{tape.pk}", 3, "Bench")
    assert entry.movements.count() == 2


def test_the_months_add_up_as_if_each_had_been_received(place):
    written(place, row(), row("Crystals", "1 kg"), row("Crystals", "2 kg"))

    kept = {(line.material_id, line.kind): (line.amount, line.lines) for line in MonthSum.objects.all()}
    assert kept == {(key.material_id, key.kind): sums for key, sums in months.worked_out().items()}


def test_a_list_brought_in_again_changes_nothing(place):
    rows = [row(code="T-1"), row(), row(), row("Crystals", "1 kg", batch="B7")]
    written(place, *rows)

    assert set(outcomes(planned(place, *rows))) == {Outcome.THERE}


def test_a_struck_list_may_come_again_under_the_same_codes(place):
    strike(written(place, row(code="T-1")), by=signed(6), reason="wrong list")

    written(place, row(code="T-1"))

    [jar] = Container.objects.all()
    assert (jar.code, jar.on_hand) == ("T-1", 3)
    assert Material.objects.count() == 1


def test_what_was_brought_in_is_used_as_if_received(place):
    written(place, row("Crystals", "1 kg", code="X-1"))

    operations.use(Container.objects.get(), amount=400_000, by=signed(6))

    assert Container.objects.get().on_hand == 600_000
    assert Place.objects.count() == 1


def test_a_struck_list_leaves_only_what_was_used_since_as_it_must(place):
    entry = written(place, *(row("Tape", "3", batch=f"B{number}") for number in range(30)))
    operations.count(Container.objects.get(batch="B7"), amount=2, by=signed(6))

    strike(entry, by=signed(7), reason="wrong list")

    assert {jar.batch: jar.on_hand for jar in Container.objects.on_the_shelf()} == {"B7": 2}
    assert list(integrity.integrity_errors()) == []
