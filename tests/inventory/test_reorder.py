"""
How fast a material goes and how low it may stand, against a reference library and a simulated shop.

The reference is pandas: its exponentially weighted mean is simple smoothing, and Croston's method is two of them, one
over the sizes and one over the gaps between them, with the factor of Syntetos and Boylan (2005).
"""

import numpy as np
import pandas as pd
import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from inventory import reorder
from inventory.reorder import COVERED, DAYS_PER_MONTH, lead_time, reorder_level, students_t, use_rate
from tests.formulas import redo

SMOOTHING = 0.1  # the usual constant of both methods


def rate(months):
    return use_rate(months, unit="g").per_month.value


def simple_smoothing(months):
    return pd.Series(months).ewm(alpha=SMOOTHING, adjust=False).mean().iloc[-1]


def syntetos_boylan(months):
    used = np.flatnonzero(months)
    if not used.size:
        return 0.0
    sizes, gaps = np.asarray(months)[used], np.diff(used, prepend=-1)
    return (1 - SMOOTHING / 2) * simple_smoothing(sizes) / simple_smoothing(gaps)


# the rate


@pytest.mark.parametrize("number", [3, 7, 24])
def test_the_rate_is_the_weighted_mean_of_the_reference_library(number):
    months = np.random.default_rng(number).gamma(0.5, 200, number)

    expected = pd.Series(months).ewm(halflife=reorder.HALF_LIFE_MONTHS, adjust=True)

    assert rate(months) == pytest.approx(expected.mean().iloc[-1])
    assert use_rate(months, unit="g").month_sd == pytest.approx(expected.std(bias=False).iloc[-1])


def steady(chance):
    return chance.gamma(10, 10, 24), 100


def rare(chance):
    return (chance.random(24) < 0.08) * chance.gamma(4, 312.5, 24), 100


def in_lumps(chance):
    return (chance.random(24) < 0.2) * chance.lognormal(np.log(500) - 0.5, 1, 24), 100


def twice_a_year(chance):
    months = np.zeros(24)
    months[chance.integers(0, 6) :: 6] = 600
    return months, 100


def after_a_big_first_mix(chance):
    months = chance.gamma(3, 33.3, 24)
    months[0] += 3000
    return months, 100


def just_after_a_big_mix(chance):
    months = chance.gamma(3, 33.3, 24)
    months[-1] += 1500
    return months, 100


def stopped_a_year_ago(chance):
    return np.append(chance.gamma(4, 25, 12), np.zeros(12)), 0


def typical_error(method, shop):
    """Root mean square over many such shops."""
    chance = np.random.default_rng(5)
    books = [shop(chance) for _ in range(400)]
    return np.sqrt(np.mean([(method(months) - true) ** 2 for months, true in books]))


@pytest.mark.parametrize("shop", [steady, rare, in_lumps, twice_a_year, after_a_big_first_mix, just_after_a_big_mix])
def test_the_rate_comes_nearer_to_the_true_use_than_the_usual_methods(shop):
    assert typical_error(rate, shop) < typical_error(simple_smoothing, shop)
    assert typical_error(rate, shop) < typical_error(syntetos_boylan, shop)


def test_the_rate_follows_a_studio_that_stopped():
    assert typical_error(rate, stopped_a_year_ago) < 1.2 * typical_error(simple_smoothing, stopped_a_year_ago)
    assert typical_error(rate, stopped_a_year_ago) < 0.5 * typical_error(syntetos_boylan, stopped_a_year_ago)


def test_a_rate_needs_three_whole_months():
    assert use_rate([10.0, 10.0], unit="g") is None


def test_only_two_years_are_read():
    assert rate([9_999.0] * 10 + [10.0] * 24) == pytest.approx(10)


def test_more_found_than_used_is_no_use():
    assert rate([-50.0, 10.0, -5.0]) == 0


@given(st.lists(st.floats(0, 1e6), min_size=3, max_size=24))
def test_the_rate_lies_between_the_least_and_the_most_used_month(months):
    assert min(months) * 0.999 <= rate(months) <= max(months) * 1.001


# the lead time


def test_three_deliveries_say_how_long_one_takes():
    lead = lead_time([5, 9, 10], said=(3, 4))

    assert (lead.days, lead.sd_days) == (8, pytest.approx(2.6458, abs=1e-4))


def test_until_then_the_supplier_is_believed():
    lead = lead_time([30, 30], said=(4, 10))

    assert lead.days == 4
    assert scipy.stats.norm(4, lead.sd_days).ppf(COVERED) == pytest.approx(10)


def test_a_supplier_who_says_nothing_is_taken_for_a_usual_one():
    assert "common practice" in lead_time([]).source


# the level


@pytest.mark.parametrize("degrees", [1.9, 2, 3, 5, 10, 20.9])
def test_the_quantile_of_few_months_is_students(degrees):
    assert students_t(0.95, degrees=degrees) == pytest.approx(scipy.stats.t.ppf(0.95, degrees), rel=0.02)


def test_a_level_of_even_use_is_that_of_the_gamma_distribution():
    level = reorder_level(use_rate([90, 110] * 12, unit="g"), lead_time([], said=(10, 15)), unit="g")

    shape = 1 / level.unevenness.value
    cover = scipy.stats.norm.cdf(level.figure.working.inputs[-1].value)
    use, days, crossing = (given.value for given in level.figure.working.inputs[:3])
    assert level.figure.value == pytest.approx(
        scipy.stats.gamma.ppf(cover, shape, scale=(use * days + crossing) / shape), rel=0.01
    )


def test_with_certain_use_and_a_level_normal_enough_it_is_the_textbooks():
    """
    Thirty a day, give or take five, and ten days until it comes: 326 covers 95 in 100.

    Source: B. W. Taylor, Introduction to Management Science, 10th ed., chapter 16, reorder point with variable demand.
    """
    certain = reorder.UseRate(
        per_month=reorder.Figure(value=30 * DAYS_PER_MONTH, unit="", working=None, sd=0.0),
        month_sd=5 * DAYS_PER_MONTH**0.5,
        months=1e9,
        months_of_use=1e9,
    )

    level = reorder_level(certain, lead_time([10, 10, 10]), unit="yd")

    # and what the use that crosses the level goes below it, which the textbook leaves out
    [crossing] = [each.value for each in level.figure.working.inputs if each.name == "crossing"]
    assert level.figure.value - crossing == pytest.approx(326.1, abs=0.5)


SHOPS = {  # uses a month, evenness and size of one, how far the season sways the number of uses
    "a little every day": (20, 4, 5, 0),
    "weekly": (4.3, 4, 20, 0),
    "monthly": (1, 4, 100, 0),
    "in lumps": (0.4, 1, 250, 0),
    "rarely": (0.15, 2, 600, 0),
    "weekly, twice as often in summer": (4.3, 4, 20, 1 / 3),
    "weekly, hardly in winter": (4.3, 4, 20, 1),
    "in lumps, mostly in summer": (0.4, 1, 250, 0.6),
}


def used_in(days, chance, *, uses, shape, size, season):
    """Each day's use of a shop that takes something now and then, and not always the same."""
    since = chance.integers(0, 366)
    often = 1 + season * np.cos(2 * np.pi * (since + np.arange(days)) / 365.25)
    number = chance.poisson(uses / DAYS_PER_MONTH * often)
    return np.where(number > 0, chance.gamma(np.maximum(shape * number, 1e-9), size / shape), 0.0)


def ours(days, months, lead, chance):
    known = use_rate(months, unit="g")
    level = reorder_level(known, lead, unit="g") if known else None
    return level.figure.value if level else 0.0


def by_the_normal_distribution(days, months, lead, chance):
    """As textbooks have it: mean and spread of the use until a delivery, and 1.645 of them (scipy)."""
    per_day, spread = np.mean(months) / DAYS_PER_MONTH, np.std(months, ddof=1) / np.sqrt(DAYS_PER_MONTH)
    sd = np.sqrt(lead.days * spread**2 + (per_day * lead.sd_days) ** 2)
    return scipy.stats.norm(per_day * lead.days, max(sd, 1e-9)).ppf(COVERED)


def by_bootstrap(days, months, lead, chance):
    """The 95th of a hundred stretches out of the days in the book (numpy); no studio of ours writes as finely."""
    waited = np.clip(chance.gamma((lead.days / lead.sd_days) ** 2, lead.sd_days**2 / lead.days, 200), 1, len(days) - 1)
    used = np.concatenate([[0.0], np.cumsum(days)])
    begins = chance.integers(0, len(days) - waited.astype(int))
    return np.quantile(used[begins + waited.astype(int)] - used[begins], COVERED)


METHODS = {"ours": ours, "normal": by_the_normal_distribution, "bootstrap": by_bootstrap}


def deliveries_too_late(method, shop, chance, *, days, years):
    """
    How many deliveries came when all was used up, and how many came; packs are of one month's use.

    Two years of the book, then as many more: the level is worked out each month anew, and more is ordered on the day on
    which a use has taken the stock to it or below.
    """
    uses, shape, size, season = shop
    every = used_in(int((years + 2) * 365.25), chance, uses=uses, shape=shape, size=size, season=season)
    edges = np.linspace(0, len(every), (years + 2) * 12 + 1).astype(int)
    months = np.add.reduceat(every, edges[:-1])
    lead = reorder.LeadTime(days=days, sd_days=days / 3, source="")
    stock, bought, late, came, comes_on, is_out = 4.0 * uses * size, 0, 0, 0, None, False
    for month in range(24, len(months)):
        level = method(every[edges[month - 24] : edges[month]], months[month - 24 : month], lead, chance)
        for today in range(edges[month], edges[month + 1]):
            if comes_on == today:
                stock, late, came, comes_on, is_out = stock + bought, late + is_out, came + 1, None, False
            is_out |= comes_on is not None and every[today] > stock
            stock = max(0.0, stock - every[today])
            if comes_on is None and stock <= level:
                choice = reorder.nearest(
                    level + 3 * uses * size - stock,
                    least=level - stock,
                    pack_amount=round(uses * size),
                    pack_price_cents=0,
                )
                bought = choice.amount
                comes_on = today + 1 + max(1, round(chance.gamma(9, days / 9)))
    return late, came


def shares_too_late(*, rounds, years):
    chance = np.random.default_rng(7)
    shares = {}
    for name, shop in SHOPS.items():
        for method, level in METHODS.items():
            found = [
                deliveries_too_late(level, shop, chance, days=days, years=years)
                for days in (14, 30)
                for _ in range(rounds)
            ]
            late, came = map(sum, zip(*found, strict=True))
            shares[name, method] = late / came
    return shares


def test_the_stated_risk_is_met_within_three_points_where_the_usual_methods_miss_it():
    """Five in a hundred deliveries come too late, by the level; DEVELOPERS.md has the table."""
    shares = shares_too_late(rounds=6, years=6)

    stated = 1 - COVERED
    ours = [shares[name, "ours"] for name in SHOPS]
    assert np.mean(ours) == pytest.approx(stated, abs=0.015)
    # a few hundred deliveries of a shop are themselves two points unsure
    assert all(abs(share - stated) < 0.03 + 0.03 for share in ours), ours
    for method in ("normal", "bootstrap"):
        assert np.mean([shares[name, method] for name in SHOPS]) > stated + 0.03


def test_the_shown_sums_of_a_level_can_be_redone():
    known = use_rate([0, 120, 30, 0, 250, 40], unit="g")

    level = reorder_level(known, lead_time([4, 9, 12]), unit="g")

    for figure in (known.per_month, level.figure, level.unevenness):
        inputs = {given.name: given.value for given in figure.working.inputs}
        assert redo(figure.working.formula, inputs) == pytest.approx(figure.value)


def test_what_is_never_used_needs_no_level():
    assert reorder_level(use_rate([0, 0, 0], unit="g"), lead_time([]), unit="g") is None


@given(st.floats(1, 60), st.floats(0, 0.6))
def test_a_longer_wait_never_asks_for_less(days, delay):
    known, sd_days = use_rate([80.0, 120.0, 100.0, 60.0], unit="g"), delay * days

    def level(days):
        return reorder_level(known, reorder.LeadTime(days=days, sd_days=sd_days, source=""), unit="g").figure.value

    assert level(days + 1) >= level(days)


def test_the_risk_is_the_level_turned_round():
    known, lead = use_rate([80.0, 120.0, 0.0, 60.0, 300.0, 90.0], unit="g"), lead_time([], said=(10, 20))
    level = reorder_level(known, lead, unit="g").figure.value

    assert reorder.risk_at(level, known, lead) == pytest.approx(1 - COVERED, abs=1e-3)
    risks = [reorder.risk_at(share * level, known, lead) for share in (0.01, 0.5, 0.8, 1.0, 1.5, 5)]
    assert risks == sorted(risks, reverse=True)
    assert risks[0] > 0.9 and risks[-1] < 0.01


def test_where_nothing_is_used_nothing_is_risked():
    assert reorder.risk_at(100, use_rate([0.0] * 5, unit="g"), lead_time([])) is None


# the pack


SMALL, MIDDLE, SACK = (450, 700), (2_500, 3_100), (25_000, 9_900)


def best(needed, *offers, least=0):
    choices = [
        reorder.nearest(needed, least=least, pack_amount=amount, pack_price_cents=price) for amount, price in offers
    ]
    return min(choices, key=lambda choice: choice.rank)


@pytest.mark.parametrize(
    ("needed", "packs", "offer"),
    [
        (400, 1, SMALL),
        (-20, 1, SMALL),
        (460, 1, SMALL),
        (680, 2, SMALL),
        (2_300, 5, SMALL),
        (2_400, 1, MIDDLE),
        (2_700, 6, SMALL),
        (2_800, 6, SMALL),
        (4_000, 2, MIDDLE),
        (30_000, 1, SACK),
    ],
)
def test_the_buy_nearest_to_what_is_needed_comes_first(needed, packs, offer):
    choice = best(needed, SACK, SMALL, MIDDLE)

    assert (choice.packs, (choice.pack_amount, choice.pack_price_cents)) == (packs, offer)


@pytest.mark.parametrize(
    ("needed", "least", "packs"),
    [(1_050, 0, 2), (1_050, 900, 3), (1_050, 899, 2), (1_360, 1_340, 3), (1_360, 1_350, 4), (100, 400, 1)],
)
def test_one_pack_less_is_taken_only_where_it_still_lifts_the_stock_above_its_level(needed, least, packs):
    assert best(needed, SMALL, least=least).packs == packs


@given(st.floats(1, 1e6), st.integers(1, 10_000))
def test_no_buy_is_off_by_more_than_half_a_pack_once_one_is_needed(needed, amount):
    choice = reorder.nearest(needed, least=0, pack_amount=amount, pack_price_cents=0)

    assert abs(choice.amount - needed) <= amount / 2 or choice.packs == 1


def test_of_two_equal_packs_the_cheaper_comes_first():
    assert best(100, (500, 400), (500, 300)).price_cents == 300


def test_a_choice_knows_what_it_brings_and_costs():
    choice = best(800, SMALL)

    assert (choice.amount, choice.price_cents) == (900, 1_400)


if __name__ == "__main__":
    found = shares_too_late(rounds=25, years=8)
    print("| use | " + " | ".join(METHODS) + " |\n|---|" + "---|" * len(METHODS))
    for name in SHOPS:
        print(f"| {name} | " + " | ".join(f"{100 * found[name, method]:.1f} %" for method in METHODS) + " |")
