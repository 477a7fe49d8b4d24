"""A plan drawn forward on a bath's page: what it comes to is what the book would say had it been done."""

import pytest
from django.urls import reverse

from inventory.models import Entry
from studio.baths import estimate, operations
from studio.baths.models import Bath, BathEvent
from studio.baths.what_if import outlook, usual_bite_ah
from studio.pages.quantities import Units
from tests.factories import BathFactory, adopted, bitten, day, signed

pytestmark = pytest.mark.django_db

PLANS = {
    "nothing at all": {"lid_on": True, "bites": 0, "water_l": 0.0},
    "the lid left off": {"lid_on": False, "bites": 0, "water_l": 0.0},
    "bites under the lid": {"lid_on": True, "bites": 12, "water_l": 0.0},
    "all of it": {"lid_on": False, "bites": 12, "water_l": 0.5},
}


def drawn(bath, **plan):
    now = day(1)
    return outlook(bath, estimate.at_moment(bath, now), now, Units(), until=day(21), **plan)


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
def test_what_is_drawn_is_what_the_book_says_once_it_was_done(plan):
    bath = adopted(lid_on=True, surface_cm2=600)

    after = drawn(bath, **plan).states[-1]

    if not plan["lid_on"]:
        operations.cover(bath, lid_on=False, by=signed(1))
    for number in range(plan["bites"]):
        bitten(bath, at=1 + 20 * (number + 0.5) / plan["bites"], amps=2.0, minutes=30)
    if plan["water_l"]:
        operations.top_up(Bath.objects.get(), water_l=plan["water_l"], by=signed(21))
    done = estimate.at_moment(Bath.objects.get(), day(21))
    assert (after.volume_l, after.strength_g_per_l) == pytest.approx((done.volume_l, done.strength_g_per_l), rel=1e-3)
    assert after.strength_sd_g_per_l == pytest.approx(done.strength_sd_g_per_l, rel=0.02)


def test_the_band_grows_while_nobody_reads_and_the_water_is_a_step():
    outlook = drawn(adopted(lid_on=True), lid_on=False, bites=0, water_l=0.5)

    spreads = [state.volume_sd_l for state in outlook.states[:-1]]
    assert spreads == sorted(spreads)
    dried, watered = outlook.states[-2:]
    assert dried.day == watered.day
    assert dried.strength_g_per_l > watered.strength_g_per_l
    assert outlook.chart.rows


def test_a_bite_counts_as_those_of_late():
    bath = adopted()
    assert usual_bite_ah(bath) == 1.0

    for at in (1, 2):
        bitten(bath, at=at, amps=1.2, minutes=30)

    assert usual_bite_ah(bath) == pytest.approx(0.6)


def page(browser, bath, *, live=False, **typed):
    asked = {"lid_on": "off", "until": "2026-03-16"} | typed
    return browser.get(
        reverse("baths:what_if", args=[bath.pk]), asked, headers={"HX-Request": "true"} if live else None
    )


@pytest.mark.parametrize("live", [False, True])
def test_a_plan_is_asked_on_the_baths_own_page_and_writes_nothing(member, today, live):
    bath = adopted(lid_on=True)
    today(1)
    before = Entry.objects.count(), BathEvent.objects.count()

    own = member.get(bath.get_absolute_url()).content.decode()
    shown = page(member, bath, live=live, bites="12", water_l_0="2", water_l_1="L").content.decode()

    assert reverse("baths:what_if", args=[bath.pk]) in own
    assert "Then it would stand at" in shown and "<svg" in shown
    assert ("<html" in shown) is not live
    assert (Entry.objects.count(), BathEvent.objects.count()) == before


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"until": "2026-03-01"}, "a day that is to come"),
        ({"until": "2026-03-03"}, "a day that is to come"),
        ({"until": "2031-03-01"}, "Give a day until"),
        ({"until": "soon"}, "Until"),
        ({"until": ""}, "Until"),
        ({"bites": "2.5"}, "Bites until then"),
        ({"bites": "-1"}, "Bites until then"),
        ({"bites": "9999"}, "Bites until then"),
        ({"water_l_0": "much", "water_l_1": "L"}, "is not an amount"),
        ({"water_l_0": "99999", "water_l_1": "L"}, "look again at the number and its unit"),
        ({"lid_on": "ajar"}, "The lid stays"),
    ],
)
@pytest.mark.parametrize("live", [False, True])
def test_what_cannot_be_drawn_is_explained(member, today, typed, sentence, live):
    bath = adopted()
    today(1)

    response = page(member, bath, live=live, **typed)

    assert response.status_code == 200
    assert sentence in response.content.decode()
    assert "Then it would stand" not in response.content.decode()


def test_a_plan_that_runs_over_says_so(member, today):
    bath = adopted()
    today(1)

    assert "It would run over" in page(member, bath, water_l_0="5", water_l_1="L").content.decode()


def test_a_plan_may_dry_a_bath_up_or_empty_it(member, today):
    bath = adopted(volume_l=0.3, lid_on=False, surface_cm2=2000)
    today(1)

    assert page(member, bath, until="2027-03-01", bites="400").status_code == 200


def test_an_unread_bath_has_nothing_to_draw(member):
    bath = BathFactory()

    assert page(member, bath).headers["Location"] == bath.get_absolute_url()
