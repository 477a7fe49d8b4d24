import pytest

from chemistry.bath import Adopted, DensityRead, LevelRead
from inventory.dates import near_day
from studio.baths import descriptions, estimate, operations, readings
from studio.baths.descriptions import BathDescription
from studio.baths.models import BathEvent
from studio.baths.status import status_of_baths
from studio.pages.quantities import Units
from tests.factories import BathFactory, adopted, day, signed

pytestmark = pytest.mark.django_db


def described(bath, at=1.0, units=None):
    return BathDescription(stands(bath, at), units or Units())


def stands(bath, at=1.0):
    return status_of_baths([bath], day(at))[0]


def advice(bath, at=1.0, units=None):
    return described(bath, at, units).suggestion


def learn_its_drying(bath, until):
    for at in range(1, until):
        level_l = estimate.at_moment(bath, day(at)).volume_l
        operations.read(bath, LevelRead(day=0, volume_l=level_l, sd_l=0.01), words="on the stick", by=signed(at))


def test_a_bath_full_and_in_range_is_left_alone():
    assert advice(adopted()) is None


def test_an_unread_tank_asks_what_is_in_it():
    said = advice(BathFactory())

    assert said.sentence == "Nobody has said yet what is in it."
    assert said.pressing


def test_a_held_out_reading_comes_before_everything_else():
    bath = adopted(strength_g_per_l=285)
    operations.read(bath, DensityRead(day=0, sg=1.1, temperature_c=20, reference_c=20), words="SG 1.100", by=signed(1))

    said = advice(bath, at=2)

    assert said.label == "Answer it"
    assert said.url == f"/baths/readings/{BathEvent.objects.get(words='SG 1.100').pk}/answer/"


def test_a_level_that_dropped_is_brought_back_by_water_alone():
    said = advice(adopted(volume_l=11.6, strength_g_per_l=250))

    assert said.sentence == "0.4 ± 0.2 L below its mark. Water alone brings it back, at 242 g/L."
    assert said.url.endswith("/top-up/")


def test_the_last_top_up_dates_what_is_missing():
    bath = adopted(volume_l=11, strength_g_per_l=250)
    operations.top_up(bath, water_l=0.5, by=signed(3))

    assert "below its mark since the top-up of 5 March." in advice(bath, at=4).sentence


def test_water_alone_is_not_praised_where_it_leaves_the_bath_weak():
    assert "Water alone leaves it weak, at 188 g/L." in advice(adopted(volume_l=11, strength_g_per_l=205)).sentence


def test_water_alone_is_not_praised_where_it_leaves_the_bath_over_strong():
    said = described(adopted(volume_l=11, strength_g_per_l=320)).refill

    assert said.endswith("Water alone leaves it over-strong, at 293 g/L.")


def test_a_weak_bath_is_sent_to_the_planner():
    said = advice(adopted(strength_g_per_l=180))

    assert said.sentence == "Below 200 g/L, where its range begins: crystals bring it back."


def test_a_dried_bath_says_what_a_cold_night_costs_it():
    said = advice(adopted(strength_g_per_l=285, lid_on=False, coldest_c=10, air_c=30), at=2)

    assert said.sentence.startswith("Past its 260 g/L. About ")
    assert said.sentence.endswith(" of crystals fall out on a cold night.")
    assert said.pressing


def test_crystals_that_may_not_fall_at_all_are_told_by_their_most():
    said = described(adopted(strength_g_per_l=262.5, coldest_c=10)).tonight

    assert "up to " in said and "±" not in said


def test_a_night_warm_enough_says_from_where_on_it_is_not():
    said = described(adopted(strength_g_per_l=240, coldest_c=12)).tonight

    assert said == (
        "At 12 °C, the coldest the room gets, everything stays dissolved; crystals would fall out below 5 ± 2 °C."
    )


def test_a_night_near_the_line_is_a_maybe():
    said = described(adopted(strength_g_per_l=250, coldest_c=8)).tonight

    assert "a few crystals may fall out: they do below" in said


def test_a_weak_bath_drops_nothing_before_it_freezes():
    assert described(adopted(strength_g_per_l=150, coldest_c=5)).tonight == (
        "At 5 °C, the coldest the room gets, nothing falls out."
    )
    assert "ice forms in it" in described(adopted(strength_g_per_l=150, coldest_c=-3)).tonight


def test_a_fahrenheit_studio_hears_of_fahrenheit():
    said = described(adopted(coldest_c=10), units=Units(temperature_unit="°F")).tonight

    assert said.startswith("At 50 °F,")


def test_while_the_rooms_drying_is_unknown_the_last_day_stays_open():
    said = described(adopted(strength_g_per_l=250, lid_on=False)).water_due

    assert said.startswith("About ")
    assert ", at the earliest " in said


def test_levels_read_now_and_then_close_the_span():
    bath = adopted(volume_l=12.9, strength_g_per_l=205, lid_on=False)
    learn_its_drying(bath, until=15)

    said = described(bath, at=15).water_due

    assert ", between " in said


def test_under_a_lid_no_day_is_in_sight():
    assert described(adopted(lid_on=True)).water_due == "Nothing dries off under the lid, so no day is in sight."


def test_a_bath_past_its_range_needs_water_now():
    assert described(adopted(strength_g_per_l=285, lid_on=False)).water_due == "Now: it stands past its range."


@pytest.mark.parametrize(("at", "words"), [(20.2, "last read today"), (21, "last read yesterday"), (50, "30 days ago")])
def test_how_long_ago_it_was_read(at, words):
    bath = adopted()
    operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.1), words="at the mark", by=signed(20))

    assert described(bath, at).last_read.endswith(words)


def test_a_bath_that_is_low_needs_water_now_even_under_its_lid():
    said = described(adopted(volume_l=10, strength_g_per_l=220, lid_on=True)).water_due

    assert said == "Now: it stands a tenth below its usual fill."


def test_a_day_far_off_carries_its_year():
    assert near_day(day(0), day(30)) == "2 March"
    assert near_day(day(0), day(360)) == "2 March 2026"


def test_a_last_day_too_far_ahead_to_plan_for_stays_open(monkeypatch):
    bath = adopted(volume_l=12.9, strength_g_per_l=205, lid_on=False)
    learn_its_drying(bath, until=15)

    monkeypatch.setattr(descriptions, "FAR_AHEAD_DAYS", 1)

    assert ", at the earliest " in described(bath, at=15).water_due


def test_how_fast_a_room_dries_is_told_once_it_is_learned():
    bath = adopted(volume_l=12.9, strength_g_per_l=205, lid_on=False)
    assert described(bath).room.startswith("Not learned yet")

    learn_its_drying(bath, until=15)

    assert described(bath, at=15).room.startswith("1.0 ± 0.")


def test_a_top_up_is_told_by_its_day():
    bath = adopted(volume_l=11)
    assert described(bath).last_topped_up == ""

    operations.top_up(bath, water_l=0.5, by=signed(3))

    assert described(bath, at=4).last_topped_up == "topped up yesterday"


def nobody_knows(**bath):
    tank = BathFactory(**bath)
    strength, sd = readings.strength_nobody_knows(tank)
    known = {"volume_l": 12, "volume_sd_l": 0.1, "strength_g_per_l": strength, "strength_sd_g_per_l": sd}
    operations.adopt(tank, Adopted(day=0, **known), lid_on=True, by=signed(0))
    return tank


def test_a_bath_nobody_knows_is_looked_at_though_its_figure_lies_in_range():
    bath = nobody_knows()

    assert stands(bath).level_and_word == ("look", "in range")
    assert advice(bath).sentence == "Unsure: ± 80 g/L reaches past its range. Read a hydrometer."
    assert advice(bath).url.endswith("/hydrometer/")


def test_of_a_bath_nobody_knows_the_night_is_unsure_too():
    said = described(nobody_knows(coldest_c=12)).tonight

    assert said.endswith("crystals may fall out or not: its strength is too unsure to say.")


def test_a_wide_range_takes_a_wide_spread():
    assert stands(nobody_knows(range_low_g_per_l=100, range_high_g_per_l=300)).level_and_word == ("fine", "in range")
