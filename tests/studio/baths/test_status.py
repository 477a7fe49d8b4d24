import pytest

from chemistry.bath import DensityRead, LevelRead
from studio.baths import estimate, operations
from studio.baths.models import Answer, Bath
from studio.baths.status import status_of_baths
from tests.factories import BathFactory, adopted, day, signed

pytestmark = pytest.mark.django_db

FAR_OFF = DensityRead(day=0, sg=1.19)


def stands(bath, at=1.0):
    return status_of_baths([bath], day(at))[0]


@pytest.mark.parametrize(
    ("strength_g_per_l", "level", "word"),
    [(240, "fine", "in range"), (285, "act", "over-strong"), (264, "look", "over-strong"), (180, "look", "weak")],
)
def test_a_bath_is_judged_by_its_range_and_its_spread(strength_g_per_l, level, word):
    bath = adopted(strength_g_per_l=strength_g_per_l, range_low_g_per_l=200, range_high_g_per_l=260, air_c=30)

    assert stands(bath).level_and_word == (level, word)


def test_a_tank_nobody_filled_is_unread():
    assert stands(BathFactory()).level_and_word == ("look", "unread")


def test_crystals_that_lie_there_by_day_come_before_everything_else():
    assert stands(adopted(strength_g_per_l=330, air_c=18)).level_and_word == ("act", "crystals")


def test_an_open_bath_has_dried_on_since_its_last_entry():
    bath = adopted(lid_on=False)

    assert stands(bath, at=40).state == estimate.at_moment(bath, day(40))
    assert stands(bath, at=40).state.strength_g_per_l > 245


def test_a_cold_night_drops_crystals_from_a_strong_bath():
    bath = adopted(strength_g_per_l=280, coldest_c=5)

    assert stands(bath).crystals_tonight.value > 100


def test_a_weak_bath_freezes_before_it_drops_crystals():
    now = stands(adopted(strength_g_per_l=150, coldest_c=-3))

    assert now.freezes_tonight
    assert now.crystals_tonight is None


def test_a_bath_far_below_freezing_still_has_an_answer():
    now = stands(adopted(strength_g_per_l=280, coldest_c=-20))

    assert now.freezes_tonight
    assert now.crystals_tonight.value > 0


def test_near_the_temperature_of_crystals_the_spread_counts():
    below_c = stands(adopted(strength_g_per_l=250)).below_c.value

    assert stands(adopted(strength_g_per_l=250, coldest_c=below_c + 0.5)).may_drop_crystals_tonight
    assert not stands(adopted(strength_g_per_l=250, coldest_c=below_c + 15)).may_drop_crystals_tonight


def test_drying_brings_the_top_of_the_range_first_when_the_tank_is_full():
    bath = adopted(strength_g_per_l=255, lid_on=False, range_high_g_per_l=260)

    due = stands(bath).due

    assert due.why == "over-strong"
    assert stands(bath, at=1 + due.span.days).state.strength_g_per_l == pytest.approx(260, abs=0.1)


def test_drying_brings_a_low_level_first_when_the_bath_is_weak():
    bath = adopted(strength_g_per_l=205, lid_on=False, range_high_g_per_l=280)

    due = stands(bath).due

    assert due.why == "low"
    later = stands(bath, at=1 + due.span.days + 0.1)
    assert later.is_low and not stands(bath, at=due.span.days).is_low


def test_under_its_lid_a_bath_needs_no_water():
    assert stands(adopted(lid_on=True)).due is None


def test_changing_a_tanks_figures_does_not_move_its_lid():
    bath = adopted(lid_on=False)
    bath.coldest_c = 7
    operations.change(bath, by=signed(20))

    now = stands(bath, at=30)

    assert not now.lid_is_on
    assert now.lid.entry.happened_at == day(0)


def test_a_bath_nobody_measured_for_a_month_says_so():
    bath = adopted()
    assert stands(bath, at=31).is_long_unread

    operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.1), words="at the mark", by=signed(20))

    assert not stands(bath, at=31).is_long_unread


def test_a_reading_held_out_waits_until_it_is_answered():
    bath = adopted()
    reading = operations.read(bath, FAR_OFF, words="SG 1.190 at 20 °C", by=signed(1)).bath_events.get()
    assert stands(bath, at=2).held_out == [reading]

    operations.answer(reading, choice=Answer.Choice.TRUST_BOOK, by=signed(2))

    assert not stands(bath, at=3).held_out


def test_many_baths_cost_two_queries(django_assert_num_queries):
    baths = [adopted(lid_on=False) for _ in range(4)] + [BathFactory()]

    with django_assert_num_queries(2):
        standings = status_of_baths(baths, day(5))

    assert [now.bath for now in standings] == baths


def test_a_newer_model_is_replayed_before_it_is_shown():
    bath = adopted(lid_on=False)
    reading = operations.read(bath, FAR_OFF, words="SG 1.190 at 20 °C", by=signed(1)).bath_events.get()
    before = stands(bath, at=2)
    Bath.objects.update(estimated_model=0)
    bath.refresh_from_db()

    after = stands(bath, at=2)

    assert after.state == before.state
    assert after.held_out == [reading]
