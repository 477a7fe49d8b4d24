"""Summaries of drums, as far as their kind and their log tell."""

import pytest
from django.urls import reverse

from studio.safety.summaries import summary_of
from studio.waste import models as waste
from studio.waste import operations
from tests.factories import WorkshopFactory, signed
from tests.studio.waste.shop import KEYHOLDER, drum, handed_over, put

pytestmark = pytest.mark.django_db


@pytest.fixture
def here(today, db):
    today(5)
    return WorkshopFactory(region="eu")


def measured(of, quantity, value, at=2):
    result = waste.TestResult(quantity=quantity, low=value, high=value, how="lab")
    operations.record_test(of, result=result, by=signed(at))


def codes(of, workshop):
    return summary_of(of, workshop).hazards.codes


def test_a_drum_of_a_spent_bath_has_the_classes_of_its_copper(here):
    """50 000 mg of copper in a litre is a bath of 196 g/L."""
    spent = drum("bath_spent")
    put(spent, 5)
    measured(spent, "cu_mg_per_l", 50_000)

    assert codes(spent, here) == ("H318", "H400", "H411")


def test_a_thin_rinse_may_be_below_every_class_and_still_never_goes_to_a_drain(here):
    rinse = drum("rinse")
    put(rinse, 5)
    measured(rinse, "cu_mg_per_l", 100)

    summary = summary_of(rinse, here)

    assert summary.hazards.codes == ()
    waste = [said.text for section in summary.sections if section.title == "No longer wanted" for said in section.lines]
    assert "Never to a drain, onto soil or into storm water." in waste


@pytest.mark.parametrize("kind", ["cleaner_used", "solvent_spent", "rinse"])
def test_a_drum_nobody_can_speak_for_needs_info(here, kind):
    summary = summary_of(drum(kind, allowance=KEYHOLDER), here)

    assert summary.hazards.word == "needs info"
    assert "at least 15 minutes" in summary.first.lines[0].text


def test_mud_of_the_bath_is_classed_as_the_copper_powder_it_may_be(here):
    mud = drum("bath_mud")

    summary = summary_of(mud, here)

    assert summary.hazards.codes == ("H410",)
    assert "what the other 100 % of the mixture is" in summary.hazards.needs_info


def test_a_drum_that_has_left_does_not_stand_here(here):
    rinse = drum("rinse")
    put(rinse, 5)
    assert summary_of(rinse, here).stands.startswith("Stands here")

    handed_over(rinse, at=4)

    assert summary_of(rinse, here).stands.startswith("It has left")


def test_strong_alkali_in_a_drum_counts_as_corrosive(here):
    rinse = drum("rinse")
    put(rinse, 5)
    measured(rinse, "cu_mg_per_l", 100)
    measured(rinse, "ph", 12)

    assert "H314" in codes(rinse, here)


def test_a_drums_summary_opens_for_anybody_and_prints(stranger, keyholder):
    one = drum("bath_mud", name="W3")

    shown = stranger.get(reverse("safety:open_drum", args=[one.pk])).content.decode()
    paper = keyholder.get(reverse("safety:drum_paper", args=[one.pk]))

    assert "Very toxic to aquatic life" in shown and "Never" in shown
    assert paper["Content-Type"] == "application/pdf"
