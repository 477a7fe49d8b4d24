import pytest

from tests.chemistry.bath.simulation import REPORTED_ON, ROOMS, TUNED_ON, TrueBath, calibrations, table

UNSEEN = range(5000, 5060)


@pytest.fixture(scope="module")
def rooms():
    """Baths neither the spreads were chosen on nor the published table comes from."""
    return {row.room: row for row in calibrations(UNSEEN)}


def test_a_log_is_lived_the_same_way_every_time():
    assert TrueBath("lids", 5).live().events == TrueBath("lids", 5).live().events


def test_the_table_comes_from_baths_the_spreads_were_not_chosen_on():
    assert not {*TUNED_ON} & {*REPORTED_ON}
    assert not {*UNSEEN} & ({*TUNED_ON} | {*REPORTED_ON})


def test_a_95_percent_interval_holds_the_truth_as_often_as_it_says(rooms):
    assert 92 <= rooms["pooled"].strength_covered <= 98
    assert 92 <= rooms["pooled"].volume_covered <= 98


@pytest.mark.parametrize("room", ROOMS)
def test_no_kind_of_room_fools_the_book(rooms, room):
    assert rooms[room].strength_covered >= 88
    assert rooms[room].volume_covered >= 88


def test_the_strength_is_known_to_about_a_hundredth(rooms):
    assert rooms["pooled"].median_error <= 1.3


def test_the_calibration_prints_as_a_table(rooms):
    lines = table(rooms.values()).splitlines()

    assert lines[0].startswith("| room |")
    assert len(lines) == 2 + len(rooms)
