from datetime import date, timedelta

import pytest
from django.db.models import QuerySet
from django.urls import reverse

from inventory import book
from inventory.models import Container, Material
from studio.bench import needs
from studio.bench.needs import Now
from studio.orders import descriptions, operations, stock
from studio.orders.models import Pack
from studio.shelf import operations as shelf
from studio.shelf.rows import shelf_rows
from studio.workshop.models import Workshop
from tests.factories import MaterialFactory, PlaceFactory, day, signed, stocked
from tests.formulas import redo
from tests.studio.orders.shop import PackFactory, SupplierFactory, ordered, used_by_month

pytestmark = pytest.mark.django_db

SEPTEMBER = day(195)  # 13 September 2026; the book begins on 2 March


def now(material, at=SEPTEMBER):
    return stock.stock_of_material(material, at)


def test_the_months_read_are_whole_and_begin_after_the_material_came():
    salt = used_by_month(stocked("5 kg"), "100 g", "0.2 kg", "300 g", "0.4 kg", "500 g", "0.6 kg", first_day=5)

    assert now(salt).months == [200_000, 300_000, 400_000, 500_000, 600_000]


def test_months_without_use_count_as_well():
    salt = used_by_month(stocked("5 kg"), "100 g")

    assert now(salt).months == [100_000, 0, 0, 0, 0]


def test_not_more_than_two_years_are_read():
    salt = used_by_month(stocked("5 kg"), "100 g")

    assert now(salt, day(1_500)).months == [0] * 24


def test_what_was_found_missing_was_used_as_well():
    jar = stocked("500 g")
    shelf.count(jar, amount=440_000, by=signed(40))

    assert now(jar.material).months == [60_000, 0, 0, 0, 0]


def test_a_struck_use_was_none():
    jar = stocked("500 g")
    slip = shelf.use(jar, amount=60_000, by=signed(40))

    book.strike(slip, by=signed(41), reason="wrong jar")

    assert sum(now(jar.material).months) == 0


def test_a_material_that_never_came_has_no_months():
    assert now(MaterialFactory()).months == []


def test_a_young_material_has_no_rate_yet():
    salt = used_by_month(stocked("5 kg"), "100 g")

    assert now(salt, day(95)).rate is None
    assert now(salt).rate is not None


def test_what_stands_is_added_up_past_finished_jars():
    jar = stocked("500 g")
    shelf.receive(jar.material, amount=200_000, place=jar.place, by=signed(1))
    shelf.use(jar, amount=500_000, by=signed(2))

    assert now(jar.material).on_hand == 200_000


# low


@pytest.mark.parametrize(
    ("amount", "level", "low"),
    [("500 g", 500_000, True), ("500 g", 499_999, False), ("500 g", 0, False), ("", 0, False), ("", 1, True)],
)
def test_low_means_the_same_on_every_page(member, amount, level, low):
    facts = {"name": "Rosin", "reorder_level": level}
    rosin = stocked(amount, **facts).material if amount else MaterialFactory(**facts)

    [row] = shelf_rows()
    said = {
        "shelf": row["is_low"],
        "filter": "Rosin" in member.get(reverse("shelf:export_csv"), {"low": "on"}).getvalue().decode(),
        "material": ">low<" in member.get(rosin.get_absolute_url()).content.decode(),
        "orders": now(rosin).is_low,
        "bench": "low" in {ask.word for ask in needs.action_items(Now(Workshop.objects.get()))},
        "queryset": rosin in Material.objects.to_reorder(),
    }

    assert set(said.values()) == {low}, said


def test_a_level_that_somebody_set_goes_before_the_one_worked_out():
    salt = used_by_month(stocked("5 kg", reorder_level=1_000_000), *["100 g"] * 5)

    assert now(salt).level == 1_000_000
    assert now(salt).worked_out.figure.value < 1_000


def test_without_a_set_level_the_one_worked_out_holds():
    salt = used_by_month(stocked("560 g"), "100 g", "60 g", "140 g", "100 g", "120 g")

    assert now(salt).level == round(now(salt).worked_out.figure.value * 1_000)
    assert now(salt).is_due and now(salt).is_wanted
    assert now(salt).word == "time to order"


def test_a_material_without_any_level_is_not_low():
    assert not now(MaterialFactory()).is_low and not now(MaterialFactory()).is_due


def test_what_is_on_its_way_answers_a_low_shelf():
    jar = stocked("100 g", reorder_level=1_000_000)
    assert now(jar.material).is_wanted

    line = ordered(pack=PackFactory(material=jar.material), at=1)

    assert not now(jar.material).is_wanted
    assert now(jar.material).awaited == [line]


def test_too_little_on_its_way_does_not():
    jar = stocked("100 g", reorder_level=1_000_000)

    ordered(pack=PackFactory(material=jar.material, amount=500_000), at=1)

    assert now(jar.material).is_wanted


def test_an_order_nobody_received_in_two_years_is_forgotten():
    line = ordered()

    assert now(line.pack.material, day(700)).awaited
    assert not now(line.pack.material, day(800)).awaited


# lead times


def deliveries(*days, pack=None):
    """Orders at one supplier, each of which came after so many days."""
    pack = pack or PackFactory(supplier__usual_days=4, supplier__worst_days=10)
    for number, after in enumerate(days):
        line = ordered(pack=pack, at=number * 20)
        operations.receive(line, packs=1, place=PlaceFactory(), by=signed(number * 20 + after))
    return pack


def test_three_deliveries_of_a_supplier_say_how_long_one_takes():
    pack = deliveries(5, 9, 10)

    assert now(pack.material).lead.days == pytest.approx(8)
    assert now(pack.material).lead.source == "the last 3 deliveries"


def test_two_do_not_and_a_struck_one_does_not_count():
    pack = deliveries(5, 9, 10)
    came = Container.objects.last().movements.get().entry

    book.strike(came, by=signed(100), reason="not ours")

    assert now(pack.material).lead.source == "4 days as a rule, 10 at the worst"


def test_a_delivery_on_the_same_day_takes_one():
    assert now(deliveries(0, 0, 0).material).lead.days == 1


def test_the_slowest_of_those_who_sell_it_counts():
    pack = deliveries(2, 2, 2)
    PackFactory(material=pack.material, supplier=SupplierFactory(usual_days=20, worst_days=30))

    assert now(pack.material).lead.days == 20


def test_days_written_down_for_the_material_go_before_the_suppliers_word():
    pack = PackFactory(material__lead_time_days=12, supplier__usual_days=4, supplier__worst_days=10)

    assert now(pack.material).lead.source == "12 days as a rule, 36 at the worst"
    deliveries(5, 9, 10, pack=pack)
    assert now(pack.material).lead.days == pytest.approx(8)


# what to buy


@pytest.fixture
def crystals():
    """Hundred grams a month; 400 g are left, and 300 g is when to order more."""
    jar = stocked("900 g", reorder_level=300_000, name="Crystals")
    used_by_month(jar, *["100 g"] * 5)
    seller = SupplierFactory(name="Larkhithe")
    for amount, price_cents in ((25_000_000, 19_000), (450_000, 700), (2_500_000, 3_100)):
        PackFactory(material=jar.material, supplier=seller, amount=amount, price_cents=price_cents)
    return jar.material


def covers(material, months, at=SEPTEMBER):
    return descriptions.covers(now(material, at).buys(months), at.date())


def test_the_smallest_pack_that_lasts_comes_first(crystals):
    packs = [(buy.choice.packs, buy.pack.size) for buy in now(crystals).buys(3)]

    assert packs == [(1, "450 g"), (1, "2500 g"), (1, "25000 g")]


def test_it_says_how_long_that_is_and_what_would_be_left_of_a_larger_one(crystals):
    assert covers(crystals, 3) == "450 g covers you until May; with 2500 g you would still own 2050 g then."


def test_a_month_far_away_is_said_with_its_year(crystals):
    QuerySet.delete(crystals.packs.exclude(amount=2_500_000))

    assert covers(crystals, 3) == "2500 g covers you until February 2029."


def test_for_longer_more_packs_are_taken(crystals):
    assert [buy.choice.packs for buy in now(crystals).buys(9) if buy.pack.amount == 450_000] == [2]


def test_up_to_how_much_it_is_ordered_can_be_set(crystals):
    crystals.order_up_to = 1_600_000

    assert [buy.choice.packs for buy in now(crystals).buys(3) if buy.pack.amount == 450_000] == [1]
    crystals.save_base()
    assert [buy.choice.packs for buy in now(crystals).buys(3) if buy.pack.amount == 450_000] == [3]


def test_it_says_when_it_will_be_time_to_order(crystals):
    month = timedelta(days=30.4375)

    assert now(crystals).order_on(SEPTEMBER.date()) == SEPTEMBER.date() + timedelta(days=month.days)
    assert descriptions.next_order(now(crystals), SEPTEMBER.date()).startswith("It comes down to 300 g about 1")


def test_what_is_on_its_way_puts_the_next_order_off(crystals):
    before = now(crystals).order_on(SEPTEMBER.date())
    ordered(pack=crystals.packs.get(amount=450_000), at=180)

    assert now(crystals).order_on(SEPTEMBER.date()) > before + timedelta(days=100)
    assert descriptions.next_order(now(crystals), SEPTEMBER.date()).startswith("With what is on its way it comes down")


def test_what_is_low_is_ordered_at_once(crystals):
    crystals.reorder_level = 500_000
    crystals.save_base()

    assert descriptions.next_order(now(crystals), SEPTEMBER.date()) == "It is time to order more."


def test_nobody_says_when_to_order_what_was_never_used():
    assert descriptions.next_order(now(stocked("100 g").material), SEPTEMBER.date()) == ""


def test_a_stock_for_more_than_ten_years_is_said_so(crystals):
    QuerySet.delete(crystals.packs.exclude(amount=25_000_000))

    assert covers(crystals, 3) == "25000 g covers you for ten years and more."


def test_nothing_is_said_of_how_long_before_it_is_known():
    salt = used_by_month(stocked("100 g"), "10 g")
    PackFactory(material=salt)

    assert "after 3 whole months" in covers(salt, 3, at=day(70))


def test_what_was_not_used_lasts_nobody_knows_how_long():
    jar = stocked("100 g")
    PackFactory(material=jar.material)

    assert "None was used" in covers(jar.material, 3)


def test_a_pack_that_is_no_longer_sold_is_not_suggested(crystals):
    Pack._base_manager.filter(amount=450_000).update(is_sold=False)

    assert now(crystals).buys(3)[0].pack.size == "2500 g"


def test_the_shown_sums_can_be_redone(crystals):
    of_it = now(crystals)

    for figure in (of_it.rate.per_month, of_it.worked_out.figure, of_it.worked_out.unevenness):
        inputs = {given.name: float(f"{given.value:.5g}") for given in figure.working.inputs}
        assert redo(figure.working.formula, inputs) == pytest.approx(figure.value, rel=1e-3, abs=1e-3)


def test_a_day_is_the_studios_own(crystals):
    assert now(crystals).lasts_until(0, date(2026, 9, 13)) == date(2027, 1, 12)


def test_of_all_materials_each_keeps_its_own(crystals, django_assert_num_queries):
    other = stocked("3 kg", name="Whiting", reorder_level=1_000_000)
    PackFactory(material=other.material, amount=1_000_000)
    ordered(pack=PackFactory(material=other.material), at=3)

    with django_assert_num_queries(6):
        stocks = {each.material.name: each for each in stock.stocks_of_all(SEPTEMBER)}

    assert [pack.size for pack in stocks["Whiting"].packs] == ["1000 g", "2500 g"]
    assert len(stocks["Crystals"].packs) == 3
    assert [len(stocks[name].awaited) for name in ("Whiting", "Crystals")] == [1, 0]
    assert stocks["Crystals"].months == now(crystals).months


def test_up_to_a_set_amount_is_not_overshot(crystals):
    """A sack of 2.5 kg to reach 1.9 kg from 400 g would stand at 2.9 kg: three small packs come nearer."""
    crystals.order_up_to = 1_900_000
    crystals.save_base()

    best = now(crystals).buys(3)[0].choice

    assert (best.packs, best.pack_amount) == (3, 450_000)


@pytest.mark.parametrize(
    ("level", "says"),
    [
        (0, "about 5 in 100 deliveries"),
        (10_000, "more than half of the deliveries"),
        (4_000_000, "fewer than 1 in 100"),
    ],
)
def test_what_a_level_risks_is_said(crystals, level, says):
    crystals.reorder_level = level
    crystals.save_base()

    assert says in descriptions.risk(now(crystals))
