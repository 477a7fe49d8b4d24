from itertools import pairwise

import pytest

from tests.chemistry.bath.simulation import (
    FORGETFUL,
    REPORTED_ON,
    TUNED_ON,
    WORLDS,
    TrueBath,
    calibrations,
    table,
    watch_table,
    watches,
)

UNSEEN = range(6000, 6100)


@pytest.fixture(scope="module")
def worlds():
    """Baths neither the spreads were chosen on nor the published table comes from."""
    return {row.world: row for row in calibrations(UNSEEN)}


def test_a_log_is_lived_the_same_way_every_time():
    assert TrueBath("powder", 5).live().events == TrueBath("powder", 5).live().events


def test_the_table_comes_from_baths_the_spreads_were_not_chosen_on():
    for one, other in pairwise((TUNED_ON, REPORTED_ON, UNSEEN)):
        assert not {*one} & {*other}


def test_a_95_percent_interval_holds_the_truth_as_often_as_it_says(worlds):
    pooled, *_ = worlds.values()

    # the published table says it to a tenth; a hundred baths do to a point
    assert 93 <= pooled.strength_covered <= 97
    assert 93 <= pooled.volume_covered <= 97


@pytest.mark.parametrize("world", WORLDS)
def test_no_world_fools_the_book(worlds, world):
    # a hundred baths tell a coverage to about a point and a half
    assert 92 <= worlds[world].strength_covered <= 98
    assert 92 <= worlds[world].volume_covered <= 98
    assert worlds[world].median_error <= 0.75


def test_what_is_forgotten_costs_the_book_its_trust(worlds):
    assert worlds[FORGETFUL].p95_error > worlds["weather"].p95_error


def test_what_was_forgotten_is_asked_about_and_hardly_anything_else():
    [watch] = watches(range(6000, 6040), ["weather"])

    assert watch.water_found >= 85
    assert watch.taken_out_found >= 85
    assert watch.false_a_month <= 4
    assert len(watch_table([watch]).splitlines()) == 3


def test_the_calibration_prints_as_a_table(worlds):
    lines = table(worlds.values()).splitlines()

    assert lines[0].startswith("| world |")
    assert len(lines) == 2 + len(worlds)
