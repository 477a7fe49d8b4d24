"""What arose in each month and what stands here, as far as it counts as hazardous waste."""

from datetime import date

import pytest
from django.urls import reverse

from chemistry import waste
from chemistry.waste.drum import weighed
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO
from inventory.book import strike
from studio.waste import advice, content, months, operations
from studio.waste.models import Drum, LocalAdvice
from tests.factories import WorkshopFactory, day, signed
from tests.studio.waste.shop import drum, put, said

pytestmark = pytest.mark.django_db

MARCH, APRIL = 0, 35  # days of the tests' book, which begins on 2 March 2026
NOW = day(40)
MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 18, 5


@pytest.fixture
def counted():
    """A drum of a kind that counts as hazardous waste."""
    said(LocalAdvice.Kind.HAZARDOUS, stream="bath_mud")
    return drum("bath_mud", capacity_l=2000)


def told():
    return advice.told(date(2026, 4, 11))


def here():
    return content.contents_of_drums(Drum.objects.all(), NOW).values()


def april():
    return months.months(NOW, told())[0]


def category(month, region="us"):
    flags = month.flags(waste.rule_sets_for(region), WorkshopFactory.build(region=region), on_site_kg=(0, 0))
    return {flag.rule_id: flag.state for flag in flags}


def test_a_month_holds_what_went_in_between_its_first_and_its_last_day(counted):
    put(counted, grams=2000, at=29.5)  # 31 March in the evening
    put(counted, grams=3000, at=APRIL)

    in_april, in_march = months.months(NOW, told())[:2]

    assert in_april.first == date(2026, 4, 1)
    assert in_april.known_kg == pytest.approx((3, 3), rel=0.03)
    assert in_march.known_kg == pytest.approx((2, 2), rel=0.03)


def test_the_studios_own_clock_says_which_month_it_was(counted, settings):
    settings.TIME_ZONE = "Europe/Berlin"
    put(counted, grams=2000, at=29.55)  # 22:12 UTC on 31 March, past midnight in Berlin

    assert april().known_kg[1] > 0


@pytest.mark.parametrize(("kg", "small"), [(94, "does not apply"), (100, NEEDS_INFO), (106, APPLIES)])
def test_a_month_is_judged_on_both_sides_of_a_threshold(counted, kg, small):
    put(counted, grams=1000 * kg, at=APRIL)

    assert category(april())["us.month.small"] == small


def test_what_nobody_decided_about_may_count_or_not(counted):
    other = drum("rinse", name="W2", capacity_l=500)
    put(counted, grams=50_000, at=APRIL)
    put(other, 80, at=APRIL)

    month = april()

    assert month.undecided == ["rinse"]
    assert month.known_kg[0] < 51 < 120 < month.known_kg[1]
    assert category(month)["us.month.small"] == NEEDS_INFO

    said(LocalAdvice.Kind.NOT_HAZARDOUS, stream="rinse")
    assert category(april())["us.month.very_small"] == APPLIES


def test_what_nobody_weighed_leaves_the_month_open(counted):
    put(counted, 5, at=APRIL)

    month = april()

    assert month.unweighed == 1
    assert category(month)["us.month.large"] == NEEDS_INFO
    assert "Not weighed when put in: 1 of 1" in month.words


def test_what_nobody_weighed_is_bounded_by_what_its_drum_holds():
    said(LocalAdvice.Kind.HAZARDOUS, stream="rags_copper")
    pail = drum("rags_copper", vessel="lined_pail", capacity_l=10)
    for _ in range(5):
        operations.deposit(operations.DepositRequest(drum=pail, kind="rags_copper", pieces=2), by=signed(APRIL))

    month = april()

    assert (month.unweighed, month.unweighed_kg) == (5, 15)
    assert month.kg == (0, 15)
    assert category(month)["us.month.very_small"] == APPLIES
    assert category(month)["us.month.large"] == DOES_NOT_APPLY


def test_what_is_poured_from_drum_to_drum_arose_once(counted):
    other = drum("bath_mud", name="W2", capacity_l=2000)
    put(counted, grams=10_000, at=APRIL)
    into = operations.DepositRequest(drum=other, kind="bath_mud", mass_g=weighed(4000))
    operations.pour_over(counted, into=into, by=signed(36))

    assert april().known_kg == pytest.approx((10, 10), rel=0.03)


def test_what_is_struck_never_arose(counted):
    entry = put(counted, grams=3000, at=APRIL)

    strike(entry, by=signed(36), reason="it was sand")

    assert april().generated == []


def test_what_stands_here_is_weighed_drum_by_drum(counted):
    put(counted, grams=3000, at=MARCH + 1)
    put(counted, grams=3000, at=APRIL)

    low, high = months.on_site_kg(here(), told())

    assert low < 6 < high
    assert high - low < 1


def test_a_drum_that_was_never_weighed_leaves_open_what_stands_here(counted):
    put(counted, 5, at=APRIL)

    assert months.on_site_kg(here(), told()) is None
    assert months.on_site_bounds(here(), told()) == (0, months.most_kg(counted))


def test_the_page_says_what_arose_and_what_to_decide(keyholder, studio, today, counted):
    studio.region = "us"
    studio.save_base()
    today(40)
    put(counted, grams=106_000, at=APRIL)
    put(drum("rinse", name="W2", capacity_l=500), 8, at=APRIL)

    page = keyholder.get(reverse("waste:months")).content.decode()

    assert "small quantity generator" in page
    assert "Plate rinse water" in page
    assert "stream=rinse" in page
    assert "<svg" in page


@pytest.mark.parametrize("region", ["eu", "elsewhere"])
def test_an_empty_book_says_what_holds(member, studio, region):
    studio.region = region
    studio.save_base()

    page = member.get(reverse("waste:months")).content.decode()

    assert "Nothing that counts, or may count" in page
    assert "ask" in page


def test_the_page_asks_the_database_little(member, studio, today, counted, django_assert_max_num_queries):
    today(40)
    put(counted, grams=3000, at=APRIL)

    with django_assert_max_num_queries(MOST_QUERIES):
        member.get(reverse("waste:months"))
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        member.get(reverse("waste:months"))
