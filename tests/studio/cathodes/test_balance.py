from datetime import timedelta

import pytest

from chemistry.bath import Adopted, DensityRead, LevelRead, SolutionAdded, Titrated
from inventory import ledger
from inventory.book import strike
from studio.baths import operations as baths
from studio.bites import operations as bites
from studio.bites import plates
from studio.bites.models import Plate
from studio.bites.operations import Ending, Setting
from studio.cathodes import accounts, balance, hangings, operations, sheets
from studio.cathodes.flows import Flows
from studio.cathodes.period import Period, of_days
from tests.factories import BathFactory, PersonFactory, adopted, day, entry, jug, signed, stocked
from tests.studio.cathodes.shop import bite, bite_in, hung, stripped

pytestmark = pytest.mark.django_db

COPPER_PER_BLUE = 0.2545


def over(first, last):
    return balance.account_of(Period(since=day(first), until=day(last)))


def unexplained(account):
    return account.balance.unexplained


def mixed(at, *, name="Upright tank", grams=3000):
    tank = BathFactory(name=name)
    jar = stocked(f"{grams} g", crystals=True)
    portion = baths.Portion(jar, grams * 1000)
    baths.mix(tank, water_l=11, salt=[portion], by=signed(at))
    return tank


def test_a_bath_that_only_stands_there_loses_nothing():
    adopted(name="Upright tank")

    account = over(1, 30)

    assert [amount.name for amount in account.balance.came] == ["baths before"]
    assert unexplained(account).value == pytest.approx(0, abs=1e-9)


def test_a_bath_dries_without_losing_copper():
    adopted(name="Upright tank", lid_on=False)

    assert unexplained(over(1, 60)).value == pytest.approx(0, abs=1e-9)


def test_crystals_bring_what_a_bath_holds():
    mixed(2)

    account = over(1, 3)

    assert account.amount("crystals").value == pytest.approx(3000 * COPPER_PER_BLUE, rel=1e-3)
    assert account.amount("crystals") == account.amount("baths now")
    assert account.amount("baths before").value == 0


def test_a_bath_adopted_in_the_period_came_in_with_it():
    adopted(at=2, volume_l=10, strength_g_per_l=200)

    account = over(1, 3)

    assert account.amount("adopted").value == pytest.approx(2000 * COPPER_PER_BLUE, rel=1e-3)
    assert account.balance.closes


def test_what_leaves_a_bath_stands_under_the_way_it_left():
    tank = adopted(volume_l=10, strength_g_per_l=200)
    baths.drips(tank, plates=20, ml_each=10, by=signed(2))
    baths.spill(tank, litres=0.5, by=signed(3))
    baths.strain(tank, litres_lost=0.1, crystals_g=0, by=signed(4))
    baths.take_out(tank, jug(1), where_to="to a friend", by=signed(5))

    account = over(1, 6)

    for name, litres in {"drips": 0.2, "spilled": 0.5, "strained": 0.1, "taken out": 1}.items():
        assert account.amount(name).value == pytest.approx(litres * 200 * COPPER_PER_BLUE, rel=0.01)
    assert unexplained(account).value == pytest.approx(0, abs=1e-6)
    assert account.amount(*balance.IN_WASTE).value == pytest.approx(1.8 * 200 * COPPER_PER_BLUE, rel=0.01)


def test_solution_poured_from_one_bath_into_another_is_not_lost():
    first, second = adopted(name="A", volume_l=10, strength_g_per_l=200), adopted(name="B", volume_l=8)
    baths.take_out(first, jug(1), where_to="into B", by=signed(2))
    baths.add_solution(
        second, SolutionAdded(day=0, litres=1, strength_g_per_l=200, sd_l=0.01, strength_sd_g_per_l=2), by=signed(2)
    )

    account = over(1, 3)

    assert account.amount("solution").value == pytest.approx(account.amount("taken out").value, rel=1e-3)


def test_a_bath_mixed_anew_gives_up_what_was_in_the_tank():
    tank = mixed(1)
    jar = stocked("1 kg", at=2, crystals=True)

    baths.mix(tank, water_l=5, salt=[baths.Portion(jar, 1_000_000)], by=signed(3))

    account = over(2, 4)
    assert account.amount("given up").value == pytest.approx(account.amount("baths before").value)
    assert account.amount("baths now").value == pytest.approx(1000 * COPPER_PER_BLUE, rel=1e-3)
    assert unexplained(account).value == pytest.approx(0, abs=1e-6)


def test_a_bath_adopted_again_is_the_same_liquid():
    tank = adopted(volume_l=10, strength_g_per_l=200)

    baths.adopt(
        tank,
        Adopted(day=0, volume_l=10, volume_sd_l=0.1, strength_g_per_l=190, strength_sd_g_per_l=3),
        lid_on=True,
        by=signed(3),
    )

    account = over(1, 4)
    assert account.amount("adopted", "given up").value == 0
    assert unexplained(account).value == pytest.approx(100 * COPPER_PER_BLUE, rel=1e-2)
    assert account.balance.closes


def test_what_is_bitten_is_found_on_the_cathode_and_after_a_strip_in_the_tin():
    cathode = hung()
    bite(cathode, 20, at=2)

    bitten = over(1, 3)
    stripped(cathode, 23, at=4)
    later = over(1, 5)

    assert bitten.amount("off plates").value == pytest.approx(20 * 1.18549 * 1.03, rel=1e-3)
    assert bitten.amount("cathodes now").value == pytest.approx(20 * 1.18549 * 0.975, rel=1e-3)
    assert later.amount("cathodes now").value == 0
    assert later.amount("stripped").value == 23
    assert bitten.balance.closes and later.balance.closes


def test_a_period_begins_with_what_lay_on_the_cathodes():
    cathode = hung()
    bite(cathode, 20, at=2)
    stripped(cathode, 23, at=10)

    account = over(5, 11)

    assert account.amount("cathodes before").value == pytest.approx(20 * 1.18549 * 0.975, rel=1e-3)
    assert account.amount("off plates").value == 0


def test_powder_is_counted_apart_and_only_as_far_as_it_is_copper():
    cathode = hung()
    bite(cathode, 20, at=2)

    stripped(cathode, 20, at=3, powder_g=5)

    account = over(1, 4)
    assert account.amount("powder").value == pytest.approx(3)
    assert account.amount("stripped").value == 20


def test_metal_weighed_wet_counts_less_its_water():
    cathode = hung()
    bite(cathode, 20, at=2)

    stripped(cathode, 25, at=3, is_dry=False)

    assert over(1, 4).amount("stripped").value == pytest.approx(22.5)


def test_bites_against_a_sheet_that_nobody_wrote_down_are_not_lost():
    tank = adopted(name="Upright tank")
    bite_in(tank, 20, at=2)

    account = over(1, 3)

    assert account.amount("unknown sheets").value == pytest.approx(20 * 1.18549 * 0.975, rel=1e-3)
    assert account.balance.closes


def test_a_strip_written_wrong_by_a_tin_full_does_not_close():
    cathode = hung()
    bite(cathode, 20, at=2)

    stripped(cathode, 120, at=3, unlikely_anyway=True)

    account = over(1, 4)
    assert unexplained(account).value == pytest.approx(-96, abs=2)
    assert not account.balance.closes
    assert accounts.CopperStatement(account).status == ("act", "It does not add up")
    assert accounts.CopperStatement(account).verdict.startswith("96 ± 3 g more is there than came in")


def test_striking_what_was_wrong_closes_it_again():
    cathode = hung()
    bite(cathode, 20, at=2)
    wrong = stripped(cathode, 120, at=3, unlikely_anyway=True)

    strike(wrong, by=signed(5), reason="a slip of the pen")

    assert over(1, 4).balance.closes


def test_a_bath_poured_away_without_a_word_shows_in_its_readings():
    """Half of it went and water took its place: the titration is trusted, and the copper is missed."""
    tank = adopted(volume_l=10, strength_g_per_l=240)
    baths.read(tank, Titrated(day=0, mol_per_l=0.481, sd=0.002), words="0.481 mol/L", by=signed(3))
    reading = tank.events.last()
    baths.answer(reading, choice="reading", by=signed(3.1))

    account = over(1, 4)

    assert unexplained(account).value > 100
    assert not account.balance.closes
    assert "more came in than can be found" in accounts.CopperStatement(account).verdict


def test_readings_within_their_errors_close():
    tank = mixed(1)
    baths.read(tank, DensityRead(day=0, sg=1.152, temperature_c=20, reference_c=20), words="SG 1.152", by=signed(10))
    baths.read(tank, LevelRead(day=0, volume_l=12.1, sd_l=0.05), words="12.1 L", by=signed(10))

    account = over(0, 11)

    assert unexplained(account).value != 0
    assert account.balance.closes


def test_a_reading_held_out_and_a_current_nobody_read_are_told_of():
    cathode = hung()
    tank = hangings.bath_of(cathode, day(1))
    baths.read(tank, Titrated(day=0, mol_per_l=0.5, sd=0.005), words="0.5 mol/L", by=signed(2))
    bites.note(tank, setting=Setting(), ending=Ending(minutes=30), by=signed(3))

    told = accounts.CopperStatement(over(1, 4))

    assert told.status == ("look", "It cannot be told yet")
    assert told.verdict.startswith("A reading is held out and not answered")
    assert told.unread.startswith("Nobody read the current of 1 bite;")


def copper_stock(amount, **material):
    return stocked(amount, **{"category": "Copper sheet and plates", "shown_unit": "piece"} | material)


def test_sheet_is_followed_from_the_shelf_to_the_plates():
    pile = copper_stock("5 piece", at=1, dimension="count")
    operations.say_copper(pile.material, said=sheets.of_a_piece(200, 300, thickness_mm=1.0), by=signed(1))
    plate = Plate(name="Ferry", width_mm=200, height_mm=300, thickness_mm=1.0, owner=PersonFactory(), cut_from=pile)
    plates.take(plate, by=signed(3))
    tank = adopted(name="Upright tank")
    ending = Ending(minutes=60, counted_ah=2.0)
    bites.note(tank, setting=Setting(plate=plate), ending=ending, by=signed(4), unusual_anyway=True)

    found = balance.account_of(Period(since=day(0.5), until=day(5))).sheets

    one_g = 20 * 30 * 0.1 * 8.96
    assert found.bought.value == pytest.approx(5 * one_g)
    assert found.used.value == found.became_plates.value == pytest.approx(one_g)
    assert found.now.value == pytest.approx(4 * one_g)
    assert found.on_plates.value == pytest.approx(one_g - 2 * 1.18549 * 1.03, rel=1e-4)


def test_the_shelf_stands_at_both_ends_of_a_period_as_it_did_then():
    pile = copper_stock("5 piece", at=1, dimension="count")
    operations.say_copper(pile.material, said=sheets.of_a_piece(100, 100, thickness_mm=1.0), by=signed(1))
    for at in (3, 10, 20):
        ledger.use(pile, 1, entry=entry(at))

    found = balance.account_of(Period(since=day(5), until=day(15))).sheets

    assert [round(each.value / 89.6) for each in (found.before, found.used, found.now)] == [4, 1, 3]


def test_a_sheet_kept_by_its_area_needs_only_its_thickness():
    copper_stock("2 m2", dimension="area", shown_unit="m2", thickness_um=1000)

    assert balance.account_of(Period(since=day(-1), until=day(1))).sheets.bought.value == pytest.approx(
        2e4 * 0.1 * 8.96
    )


def test_plates_of_unknown_thickness_are_left_out_and_told_of():
    plate = Plate(name="Ferry", width_mm=200, height_mm=300, owner=PersonFactory())
    plates.take(plate, by=signed(1))

    lines = accounts.CopperStatement(over(0, 2)).sheets

    assert lines == []
    assert balance.account_of(Period(since=day(0), until=day(2))).sheets.unsized == 1


def test_the_picture_names_every_amount_and_is_as_tall_as_it_needs():
    cathode = hung(bath=mixed(1), at=1.1)
    bite(cathode, 20, at=2)
    stripped(cathode, 23, at=3)

    flows = Flows(over(0, 4))

    assert [ribbon.name for ribbon in flows.left] == ["Off plates", "Crystals"]
    assert [ribbon.name for ribbon in flows.right][:2] == ["Baths now", "Stripped"]
    assert "crystals 764 ± 10 g" in flows.desc
    lowest = max(ribbon.y + ribbon.height for ribbon in (*flows.left, *flows.right))
    assert lowest < float(flows.height)


def test_ways_are_as_wide_as_their_copper_is_heavy():
    cathode = hung(bath=mixed(1), at=1.1)
    bite(cathode, 100, at=2)

    widths = {ribbon.name: ribbon.height for ribbon in Flows(over(0, 4)).left}

    assert widths["Off plates"] / widths["Crystals"] == pytest.approx(
        100 * 1.18549 * 1.03 / (3000 * COPPER_PER_BLUE), rel=1e-3
    )


def test_what_more_is_there_than_came_in_is_drawn_as_coming_from_nowhere():
    cathode = hung()
    bite(cathode, 20, at=2)
    stripped(cathode, 120, at=3, unlikely_anyway=True)

    flows = Flows(over(1, 4))

    assert flows.left[-1].name == "Unexplained" and flows.left[-1].hatch
    assert "Unexplained" not in [ribbon.name for ribbon in flows.right]


def test_each_bath_costs_a_few_questions(django_assert_max_num_queries):
    for number in range(2):
        bite_in(adopted(name=f"Tank {number}"), 2, at=2)

    with django_assert_max_num_queries(20):
        over(1, 3)


def test_a_period_ends_no_later_than_now():
    period = of_days(day(1).date(), (day(1) + timedelta(days=50)).date(), now=day(9))

    assert period.until == day(9)
