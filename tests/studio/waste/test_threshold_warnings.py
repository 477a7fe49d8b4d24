"""What the bench says of waste while there is still time."""

from datetime import date

import pytest
from django.urls import reverse

from studio.waste import threshold_warnings
from studio.waste.content import contents_here
from studio.waste.models import LocalAdvice
from tests.factories import WorkshopFactory, day
from tests.studio.waste.shop import drum, put, said

pytestmark = pytest.mark.django_db

Kind = LocalAdvice.Kind


def action_items(at=20, region="us"):
    return {
        ask.word: ask
        for ask in threshold_warnings.action_items(
            contents_here(day(at)), WorkshopFactory.build(region=region), day(at)
        )
    }


def counted():
    said(Kind.HAZARDOUS, stream="bath_mud")
    return drum("bath_mud", capacity_l=5000)


@pytest.mark.parametrize(("at", "level"), [(300, None), (352, "look"), (366, "look"), (367, "act")])
def test_a_drum_that_grows_old_asks_two_weeks_before(at, level):
    vessel = drum("rinse")
    put(vessel, 1, at=1)

    found = action_items(at=at, region="eu").get("time limit")

    assert (found.level if found else None) == level
    if found:
        assert "365 days since its first drop" in found.sentence
        assert found.url == f"{reverse('waste:hand_over')}?drum={vessel.pk}"


@pytest.mark.parametrize(("kg", "is_near"), [(60, False), (95, True), (200, False)])
def test_a_month_that_comes_near_an_amount_asks(kg, is_near):
    put(counted(), grams=1000 * kg, at=10)

    assert ("threshold near" in action_items()) == is_near


def test_what_nobody_decided_about_may_come_near_too():
    put(drum("rinse", capacity_l=500), 90, at=10)

    assert "Other rules hold from 100 kg on" in action_items()["threshold near"].sentence


def test_a_region_whose_rules_name_no_amounts_asks_for_none():
    put(counted(), grams=95_000, at=10)

    assert "threshold near" not in action_items(region="eu")


def test_what_stands_here_comes_near_an_amount_too():
    vessel = counted()
    for month in range(5):
        put(vessel, grams=175_000, at=1 + 31 * month)

    found = list(threshold_warnings.action_items(contents_here(day(180)), WorkshopFactory.build(region="us"), day(180)))

    assert any("stand here" in ask.sentence and "1000 kg" in ask.sentence for ask in found)


@pytest.mark.parametrize(
    ("until_on", "is_near"), [(date(2026, 4, 21), True), (date(2026, 4, 22), False), (None, False)]
)
def test_advice_that_ends_within_a_month_asks(until_on, is_near):
    said(Kind.TREATMENT, stream="rinse", method="iron", is_written=True, until_on=until_on)

    assert ("advice ends" in action_items()) == is_near


def test_an_empty_book_asks_for_nothing():
    assert action_items() == {}
