"""Sums of a treatment: none without a permission that holds, and never what stays in the water."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from chemistry.waste import treatment
from inventory.book import strike
from studio.waste import advice, content, sources, treatments
from studio.waste.models import LocalAdvice
from studio.waste.operations import DepositRequest
from tests.factories import adopted, jug, signed, today
from tests.studio.waste.shop import KEYHOLDER, drum, put, said

pytestmark = pytest.mark.django_db

G_CU_PER_G_BLUE = 0.2545
MOST_QUERIES = 15


@pytest.fixture
def spent():
    """Four litres out of a bath of 240 g/L."""
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")
    sources.take_out(bath, jug(4), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))
    return into


def allow(stream="bath_spent", method="soda_ash", **facts):
    usual = {"asked": "City waste office", "said_on": date(2026, 1, 12), "is_written": True} | facts
    return said(LocalAdvice.Kind.TREATMENT, stream=stream, method=method, **usual)


def page(browser, vessel):
    return browser.get(reverse("waste:treatment", args=[vessel.pk]))


def test_nothing_is_worked_out_before_somebody_allows_it(member, spent):
    assert page(member, spent).status_code == 404
    assert "treatment that was allowed" not in member.get(spent.get_absolute_url()).content.decode()


def test_what_was_allowed_is_worked_out_from_the_copper_in_the_drum(member, spent):
    allow()

    (allowed,) = treatments.treatments_of_drum(content.content_of_drum(spent), advice.told())

    copper_g = 4 * 240 * G_CU_PER_G_BLUE
    # 2 CuSO4 + 2 Na2CO3: one soda ash (105.99 g/mol) for each copper (63.55 g/mol), IUPAC atomic weights
    assert allowed.plan.figures["soda ash"].value == pytest.approx(copper_g * 105.99 / 63.55, rel=2e-3)
    assert "±" in str(allowed.figures[0].shown)
    assert allowed.permission.startswith("City waste office, in writing, 12 January 2026, for Spent")
    assert page(member, spent).status_code == 200
    assert "treatment that was allowed" in member.get(spent.get_absolute_url()).content.decode()


@pytest.mark.parametrize("method", treatment.METHODS)
def test_every_warning_stands_on_the_page_and_no_figure_for_a_drain(member, spent, method):
    allow(method=method)

    shown = page(member, spent).content.decode()

    for warned in treatment.warnings(method):
        assert warned.text in shown
    assert "settle" in shown
    assert "mg/L" not in shown


def test_a_permission_that_ran_out_hides_the_sums_again(member, spent):
    allow(until_on=today())
    assert page(member, spent).status_code == 200

    spent_later = advice.told(today() + timedelta(days=1))

    assert treatments.treatments_of_drum(content.content_of_drum(spent), spent_later) == []


def test_a_struck_permission_hides_the_sums_again(member, spent):
    entry = allow()

    strike(entry, by=signed(20), reason="it was withdrawn")

    assert page(member, spent).status_code == 404


def test_a_permission_for_one_kind_is_none_for_another(member, spent):
    allow(stream="rinse")

    assert page(member, spent).status_code == 404


def test_a_permission_for_one_kind_is_none_for_a_drum_that_holds_another_too(member, spent):
    allow()

    put(spent, 1, at=2, kind="rinse", allowance=KEYHOLDER)

    assert page(member, spent).status_code == 404


def test_where_nobody_knows_the_copper_a_test_is_asked_for(member):
    vessel = drum("rinse")
    put(vessel, 3)
    allow(stream="rinse")

    shown = page(member, vessel).content.decode()

    assert "needs info" in shown
    assert reverse("waste:test", args=[vessel.pk]) in shown


def test_an_empty_drum_is_not_treated(member):
    allow(stream="rinse")

    assert page(member, drum("rinse")).status_code == 404


def test_the_page_asks_the_database_little(member, spent, django_assert_max_num_queries):
    allow()

    with django_assert_max_num_queries(MOST_QUERIES):
        page(member, spent)
