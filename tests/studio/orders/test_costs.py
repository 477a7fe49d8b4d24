from datetime import date
from fractions import Fraction

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from inventory import book
from studio.orders import costs, operations
from studio.shelf import operations as shelf
from tests.factories import PersonFactory, PlaceFactory, signed, stocked
from tests.formulas import redo
from tests.studio.orders.shop import PackFactory, ordered

MARCH, APRIL = date(2026, 3, 1), date(2026, 4, 1)


@pytest.fixture
def shop(db):
    """Tape at 10 cents a piece and salt at 1.24 per 100 g; Nell and Tobi use both."""
    tape = stocked("100 pieces", dimension="count", shown_unit="piece", name="Tape", category="Tapes")
    salt = stocked("1 kg", name="Salt", category="Salts")
    PackFactory(material=tape.material, amount=50, price_cents=500)
    PackFactory(material=salt.material)
    nell, tobi = PersonFactory(name="Nell"), PersonFactory(name="Tobi")
    shelf.use(tape, amount=3, by=signed(1, done_by=nell))
    shelf.use(tape, amount=5, by=signed(2, done_by=tobi))
    shelf.use(salt, amount=100_000, by=signed(40, done_by=nell))
    return {"tape": tape, "salt": salt, "nell": nell}


def price_of(container):
    price = costs.prices()[container.material_id]
    return price.cents, price.source


def cents(groups):
    return {group.name: group.cents for group in groups}


def test_each_person_costs_what_they_used(shop):
    found = costs.costs_of_months(MARCH, APRIL)

    assert cents(costs.grouped(found, lambda cost: cost.person)) == {"Nell": 154, "Tobi": 50}


def test_the_same_costs_by_month_and_by_category(shop):
    found = costs.costs_of_months(MARCH, APRIL)

    assert cents(costs.grouped(found, lambda cost: cost.material.category)) == {"Salts": 124, "Tapes": 80}
    assert cents(costs.grouped(found, lambda cost: cost.month, name=str)) == {"2026-03-01": 80, "2026-04-01": 124}


def test_other_months_are_left_out(shop):
    assert {cost.month for cost in costs.costs_of_months(APRIL, APRIL)} == {APRIL}


def test_what_was_found_missing_is_nobodys(shop):
    shelf.count(shop["tape"], amount=90, by=signed(45, done_by=shop["nell"]))

    groups = cents(costs.grouped(costs.costs_of_months(APRIL, APRIL), lambda cost: cost.person))

    assert groups == {"Nell": 124, costs.NOBODY: 20}


def test_a_use_written_late_is_charged_and_no_longer_missing(shop):
    shelf.count(shop["tape"], amount=90, by=signed(10))
    shelf.use(shop["tape"], amount=2, by=signed(5, done_by=shop["nell"]))

    groups = cents(costs.grouped(costs.costs_of_months(MARCH, MARCH), lambda cost: cost.person))

    assert groups == {"Nell": 50, "Tobi": 50, costs.NOBODY: 0}


def test_a_struck_use_costs_nothing(shop):
    slip = shelf.use(shop["tape"], amount=50, by=signed(3, done_by=shop["nell"]))

    book.strike(slip, by=signed(4), reason="wrong roll")

    assert costs.CostGroup("all", costs.costs_of_months(MARCH, MARCH)).cents == 80


def test_what_is_received_costs_nobody(shop):
    shelf.receive(shop["salt"].material, amount=5_000_000, place=PlaceFactory(), by=signed(3))

    assert costs.CostGroup("all", costs.costs_of_months(MARCH, MARCH)).cents == 80


def test_a_group_opens_to_its_materials_dearest_first(shop):
    (nell, _) = costs.grouped(costs.costs_of_months(MARCH, APRIL), lambda cost: cost.person)

    lines = [(line.name, line.shown_amount, line.cents, line.price.source) for line in nell.lines]

    assert lines == [("Salt", "100 g", 124, "the cheapest pack"), ("Tape", "3 pieces", 30, "the cheapest pack")]
    assert (nell.uses, nell.each) == (2, 77)


def test_of_a_long_group_the_dearest_are_listed_and_the_others_added_up(shop, monkeypatch):
    monkeypatch.setattr(costs, "MOST_LINES", 1)

    (nell, _) = costs.grouped(costs.costs_of_months(MARCH, APRIL), lambda cost: cost.person)

    assert [line.name for line in nell.dearest] == ["Salt"]
    assert (len(nell.others), nell.cents_of_others) == (1, 30)
    row = {"group": nell, "cost": nell.cents}
    page = render_to_string("orders/_cost.html", {"row": row, "currency": "GBP"})
    assert "1 other material" in page and "Tape £0.30" in page


def test_the_last_order_says_what_it_costs(shop):
    dear = PackFactory(material=shop["tape"].material, amount=10, price_cents=300)
    line = ordered(pack=dear, at=50)
    assert price_of(shop["tape"]) == (30, "the last order")

    book.strike(line.order.entry, by=signed(51), reason="too dear")

    assert price_of(shop["tape"]) == (10, "the cheapest pack")


def test_without_a_price_nothing_is_invented(shop):
    ink = stocked("400 g", name="Ink")
    shelf.use(ink, amount=10_000, by=signed(1))

    unpriced = [cost for cost in costs.costs_of_months(MARCH, MARCH) if cost.price is None]

    assert [str(cost.material) for cost in unpriced] == ["Ink"] and costs.CostGroup("unpriced", unpriced).cents == 0


@given(st.lists(st.fractions(-500, 5_000, max_denominator=97), min_size=1, max_size=12))
def test_shares_in_whole_cents_add_up_to_the_whole(parts):
    whole = costs.shared(sum(parts), parts)

    assert sum(whole) == round(sum(parts))
    assert all(abs(share - part) < 1 for share, part in zip(whole, parts, strict=True))


def test_a_plate_costs_its_part_and_says_how():
    figure = costs.per_plate(Fraction(3_321), 81, "EUR")

    assert figure.value == pytest.approx(0.41)
    inputs = {given.name: given.value for given in figure.working.inputs}
    assert redo(figure.working.formula, inputs) == figure.value


def test_without_plates_there_is_no_cost_of_one():
    with pytest.raises(ValueError, match="at least one plate, not 0"):
        costs.per_plate(Fraction(100), 0, "EUR")


@pytest.mark.django_db
def test_what_an_order_brought_is_worth_its_price():
    line = ordered(pack=PackFactory(amount=1_000_000, price_cents=500))
    entry = operations.receive(line, packs=1, place=PlaceFactory(), by=signed(1))
    jar = entry.movements.get().container
    shelf.use(jar, amount=250_000, by=signed(2))

    (cost,) = costs.costs_of_months(MARCH, MARCH)

    assert costs.CostGroup("one", [cost]).cents == 125
