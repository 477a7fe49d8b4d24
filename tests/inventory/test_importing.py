"""What each row of a list would do to the book, and what all of them did."""

from datetime import date

import pytest

from inventory import book, importing, integrity, months
from inventory.book import strike
from inventory.headings import FIELDS
from inventory.importing import Choices, Outcome, Reading, Studio
from inventory.models import Container, Material, MonthSum, Place
from inventory.workbooks import Sheet
from studio.shelf import operations
from tests.factories import MaterialFactory, PlaceFactory, signed, stocked

pytestmark = pytest.mark.django_db


@pytest.fixture
def place():
    return PlaceFactory(name="Rack")


def plan_of(place, *rows, **choices):
    """Of rows that each name their fields, as if every field had a column."""
    names = list(FIELDS)
    lines = [(number, [row.get(name, "") for name in names]) for number, row in enumerate(rows, 2)]
    reading = Reading([Sheet("", [(1, names), *lines])], Choices(heading=1, columns=names, **choices), {})
    return importing.plan(reading, Studio(place=place))


def planned(place, *rows, **choices):
    return plan_of(place, *rows, **choices).lines


def written(place, *rows, **choices):
    plan = plan_of(place, *rows, **choices)
    with book.entry("brought in", "list", signed(5)) as entry:
        importing.write(plan.lines, entry=entry, places=plan.places)
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
        (row(amount="", category="Tapes"), "has no amount"),
        (row(amount="1,000 L"), "1,000 L: one or a thousand?"),
        (row(amount="2.500 g"), "2.500 g: 2.5 or 2500?"),
        (row(amount="-1 L"), "-1 L: less than nothing."),
        (row(amount="−1 L"), "−1 L: less than nothing."),
        (row(amount="=?"), "a formula that was never worked out"),
        (row(amount="empty"), "None is left, and nothing tells what it is measured in"),
        (row(amount="1.5", size="5 L"), "1.5 of 5 L: how many containers"),
        (row(amount="501 x 1 L"), "no number of containers"),
        (row(code="two words"), "letters, digits and hyphens"),
        (row(code="C999"), "given out by the book"),
        (row(code="c999"), "given out by the book"),
        (row("Salt", "1 kg", in_a_bath="green"), "nothing in a bath"),
        (row("Salt", "1 L", in_a_bath="blue crystals"), "measured by mass, not by volume"),
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


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        (row(received="31.13.2026"), "no day"),
        (row(received="2999-01-01"), "not come yet"),
        (row(opened="2999-01-01"), "not come yet"),
        (row(purity="pure"), "under purity is no number"),
        (row(purity="120 %"), "outside 0 to 100 %"),
        (row("Salt", "1 kg", reorder_at="2 L"), "measures volume"),
        (row(supplier="Shop", price="$3"), "the prices of this book are in EUR"),
        (row(price="3"), "nobody is named who sells it"),
    ],
)
def test_what_is_not_understood_beside_an_amount_stays_behind_with_a_word(place, cells, said):
    [line] = planned(place, cells)

    assert line.outcome is Outcome.NEW_MATERIAL
    assert said in line.notes[0]


def test_copper_sulfate_is_asked_about_unless_its_name_its_list_or_somebody_says_which(place):
    salt = row("Copper sulphate", "1 kg")
    told = {"copper sulphate": {"bath_use": "copper_sulfate_anhydrous"}}

    assert "Blue crystals, pale powder or monohydrate?" in planned(place, salt)[0].why
    for lines in (
        planned(place, salt | {"in_a_bath": "Pale powder"}),
        planned(place, row("Copper sulphate, anhydrous", "1 kg")),
        planned(place, salt, materials=told),
    ):
        assert (lines[0].outcome, lines[0].bath_use) == (Outcome.NEW_MATERIAL, Material.BathUse.PALE_POWDER)


def test_what_is_spelled_otherwise_is_taken_for_what_the_book_knows_unless_somebody_says_not(place):
    MaterialFactory(name="Hard ground")

    plan = plan_of(place, row("Hard-Ground", "1 kg"))

    assert (plan.lines[0].name, plan.lines[0].outcome) == ("Hard ground", Outcome.NEW_CONTAINER)
    assert [(each.name, each.same) for each in plan.materials] == [("Hard-Ground", "Hard ground")]
    assert planned(place, row("Hard-Ground", "1 kg"), materials={"hard-ground": {"same": ""}})[0].name == "Hard-Ground"


def test_what_somebody_typed_stands_in_the_place_of_a_cell(place):
    lines = planned(place, row(amount="some"), row(), row(), cells={"2": {"amount": "2 rolls"}}, left_out=[3])

    assert outcomes(lines) == [Outcome.NEW_MATERIAL, Outcome.LEFT_OUT, Outcome.NEW_CONTAINER]
    assert lines[0].shown == "2 rolls"


def test_what_is_there_comes_all_the_same_if_somebody_says_so(place):
    written(place, row())

    assert outcomes(planned(place, row())) == [Outcome.THERE]
    assert outcomes(planned(place, row(), again=[2])) == [Outcome.NEW_CONTAINER]


def test_of_several_containers_in_a_row_those_come_that_are_not_there(place):
    written(place, row("Thinner", "2 x 1 L"))

    [line] = planned(place, row("Thinner", "5 x 1 L"))

    assert (line.outcome, line.containers) == (Outcome.NEW_CONTAINER, 3)


def test_what_is_used_up_comes_by_its_name_alone(place):
    written(place, row("Ink", "0 g"), row("Tape", "0 rolls"), row("Tape", "2 rolls"), row("Oil", "empty", size="1 L"))

    assert sorted(Material.objects.values_list("name", "shown_unit")) == [("Ink", "g"), ("Oil", "L"), ("Tape", "roll")]
    assert [str(jar.material) for jar in Container.objects.all()] == ["Tape"]


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

    assert told == ["containers: 0 of 501", "containers: 500 of 501", "adding up what came"]


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
    assert [material.name for material in Material.objects.listed()] == ["Tape"]
    assert list(integrity.integrity_errors()) == []


def test_a_strike_takes_what_was_new_off_the_lists_and_bringing_it_again_puts_it_back(place):
    MaterialFactory(name="Crystals")
    rows = [row("Salt", "1 kg", place="Cellar", category="Ink"), row("Crystals", "1 kg")]
    strike(written(place, *rows), by=signed(6), reason="wrong list")

    assert [material.name for material in Material.objects.listed()] == ["Crystals"]
    assert [each.name for each in Place.objects.listed()] == ["Rack"]
    assert list(integrity.integrity_errors()) == []

    again = written(place, *rows, places={"cellar": "bench"}, materials={"salt": {"category": "Grounds"}})

    salt = Material.objects.get(name="Salt")
    assert (salt.is_listed, salt.category) == (True, "Grounds")
    assert Place.objects.listed().get(name="Cellar").kind == "bench"
    assert list(integrity.integrity_errors()) == []
    strike(again, by=signed(7), reason="wrong again")
    assert {name for name in Material.objects.listed().values_list("name", flat=True)} == {"Crystals"}
