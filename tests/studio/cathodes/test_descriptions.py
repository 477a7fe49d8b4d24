import pytest

from studio.cathodes import operations
from studio.cathodes.descriptions import CathodeDescription, action_items
from studio.cathodes.status import status_of_cathode
from studio.pages.quantities import Units
from tests.factories import adopted, day, signed
from tests.studio.cathodes.shop import bite, hung, stripped

pytestmark = pytest.mark.django_db

GRAMS = Units()


def at(cathode, days):
    return status_of_cathode(cathode, day(days))


def weekly(cathode, weeks, charge_ah=1.2):
    for week in range(weeks):
        bite(cathode, charge_ah, at=7 * week + 0.5)


def test_the_last_strip_is_told_beside_its_prediction():
    cathode = hung()
    weekly(cathode, 12)
    stripped(cathode, 16, at=85, scale=1)

    said = CathodeDescription(at(cathode, 86), GRAMS).compared

    assert said == "Last strip: predicted 16.6 ± 0.6 g, weighed 16 ± 1 g: within the scale."


def test_the_next_strip_is_foreseen_in_days():
    cathode = hung()
    weekly(cathode, 12)

    said = CathodeDescription(at(cathode, 84), GRAMS).forecast

    assert said.startswith("It comes to 22.4 g, 25 µm on average, about ")
    assert "at the earliest" in said and "at the latest" in said


def test_few_bites_tell_no_latest_day():
    cathode = hung()
    weekly(cathode, 3)

    assert CathodeDescription(at(cathode, 30), GRAMS).forecast.endswith("; the bites of late tell no more.")


@pytest.mark.parametrize(
    ("hours_of_bites", "says"),
    [
        ([12], "Too few bites"),
        ([12, 13], "Too few bites"),
        ([12, 13, 14], "It comes to"),
        ([12, 36, 60], "It comes to"),
    ],
)
def test_it_takes_several_bites_to_say_when_the_next_strip_is_due(hours_of_bites, says):
    cathode = hung(facing_cm2=100)
    for hours in hours_of_bites:
        bite(cathode, 0.4, at=hours / 24)

    described = CathodeDescription(at(cathode, 3), GRAMS)

    assert described.forecast.startswith(says)
    assert described.word.word == ("strip it soon" if says == "It comes to" else "gathering")
    assert bool(described.status.rate) == (says == "It comes to")


def test_three_bites_of_one_afternoon_are_no_rate_of_every_day():
    cathode = hung()
    for hours in (12, 13, 14):
        bite(cathode, 1.2, at=hours / 24)

    assert at(cathode, 0.6).rate.value == pytest.approx(1.2 * 0.975 * 1.18549, rel=1e-3)


def test_a_bath_at_rest_foresees_nothing():
    cathode = hung()

    said = CathodeDescription(at(cathode, 100), GRAMS).forecast

    assert said == "No bite ran here in the last 90 days, so no day is in sight."


def test_a_cathode_that_is_due_says_why():
    cathode = hung(facing_cm2=100)
    bite(cathode, 2.2, at=1)

    said = CathodeDescription(at(cathode, 2), GRAMS).forecast

    assert said.startswith(
        "Now: 2.5 ± 0.1 g of copper by the current, 28 ± 1 µm on average; set to be stripped at 25 µm."
    )
    assert CathodeDescription(at(cathode, 2), GRAMS).word == ("look", "time to strip")


def test_lumps_that_take_the_gap_are_the_reason():
    cathode = hung(facing_cm2=100, strip_at_um=500, gap_mm=20, most_loss_percent=10)
    bite(cathode, 9, at=1)

    assert "its lumps may stand across 12 % of the gap" in CathodeDescription(at(cathode, 2), GRAMS).due


def test_long_past_its_thickness_it_cannot_wait():
    cathode = hung(facing_cm2=100)
    bite(cathode, 4, at=1)

    assert CathodeDescription(at(cathode, 2), GRAMS).word.level == "act"


def test_out_of_the_bath_nothing_gathers():
    cathode = hung()
    operations.take_out(cathode, by=signed(1))

    assert CathodeDescription(at(cathode, 2), GRAMS).forecast == "It hangs in no bath, so nothing gathers on it."
    assert CathodeDescription(at(cathode, 2), GRAMS).word == ("look", "out of the bath")


def test_a_studio_that_reads_mil_reads_mil_here():
    cathode = hung(facing_cm2=100)
    bite(cathode, 2.2, at=1)

    assert "1.0 mil" in CathodeDescription(at(cathode, 2), Units(depth_unit="mil")).due


def test_the_bench_is_told_of_what_is_due_and_of_nothing_else(today):
    due = hung(facing_cm2=100)
    hung(name="Small sheet", bath=adopted(name="Small tank"))
    bite(due, 2.2, at=1)
    today(2)

    (ask,) = action_items(GRAMS)

    assert (ask.level, ask.word, ask.label) == ("look", "time to strip", "Strip it")
    assert ask.sentence.startswith("Copper sheet: 2.5 ± 0.1 g of copper by the current")
    assert ask.url == f"/waste/cathode/{due.pk}/strip/"


def test_the_current_that_keeps_a_deposit_firm_follows_the_bath():
    cathode = hung(bath=adopted(name="Upright tank", strength_g_per_l=200))

    advised = CathodeDescription(at(cathode, 1), GRAMS).most_current

    assert advised.value == pytest.approx(7.6 / 3 * 10, rel=0.02)


def test_no_current_is_advised_for_a_cathode_out_of_the_bath():
    cathode = hung()
    operations.take_out(cathode, by=signed(1))

    assert CathodeDescription(at(cathode, 2), GRAMS).most_current is None


def test_every_figure_of_the_page_opens_to_its_sum():
    cathode = hung(gap_mm=40, most_loss_percent=20)
    weekly(cathode, 12)

    figures = CathodeDescription(at(cathode, 84), GRAMS).figures

    assert [told.name for told in figures] == [
        "Copper on it",
        "Its thickness, as a mean",
        "Gap taken by its lumps",
        "Efficiency at this cathode",
        "Most current for a firm deposit",
        "Gathered lately, over 84 days",
        "Until it is to be stripped",
    ]
    assert all(told.working.inputs and told.working.source for told in figures)
