import pytest

from chemistry.copper.efficiency import CATHODE
from studio.bites import operations as bites
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.cathodes import operations, status
from tests.factories import adopted, day, signed
from tests.studio.cathodes.shop import bite, hung, stripped, weighed

pytestmark = pytest.mark.django_db


def at(cathode, days):
    return status.status_of_cathode(cathode, day(days))


def bitten(cathode, charge_ah, *, at, in_bites=20):
    """A charge in many bites, so that what each was read by evens out."""
    for number in range(in_bites):
        bite(cathode, charge_ah / in_bites, at=at + number / 1000)


def test_predicted_14_9_weighed_14_is_within_the_scale():
    cathode = hung()
    bitten(cathode, 14.9 / 0.975 / 1.18549, at=1)

    stripped(cathode, 14, at=2, scale=1)

    checked = at(cathode, 3).last
    assert checked.predicted.value == pytest.approx(14.9, abs=0.01)
    assert checked.verdict == ("fine", "within the scale")


def test_a_scale_that_cannot_show_so_little_judges_nothing():
    cathode = hung()
    bite(cathode, 0.5, at=1)

    stripped(cathode, 1, at=2, scale=1)

    assert at(cathode, 3).last.verdict.words == "too small to judge"


def test_a_tin_full_off_a_cathode_that_hardly_saw_a_current_stands_apart():
    cathode = hung()
    bite(cathode, 0.3, at=1)

    stripped(cathode, 150, at=2, scale=1, unlikely_anyway=True)

    assert at(cathode, 3).last.verdict.words == "apart: more than predicted"


@pytest.mark.parametrize(("off_g", "words"), [(8, "apart: less than predicted"), (22, "apart: more than predicted")])
def test_what_neither_error_explains_stands_apart(off_g, words):
    cathode = hung()
    bitten(cathode, 12, at=1)

    stripped(cathode, off_g, at=2)

    assert at(cathode, 3).last.verdict == ("look", words)


def test_a_wet_weighing_is_not_judged():
    cathode = hung()
    bitten(cathode, 12, at=1)

    stripped(cathode, 16, at=2, is_dry=False)

    assert at(cathode, 3).last.verdict.words == "weighed wet: dry it to judge"


def test_loose_powder_speaks_for_the_copper_that_is_not_in_the_metal():
    cathode = hung()
    bitten(cathode, 12, at=1)

    stripped(cathode, 10, at=2, powder_g=6)

    checked = at(cathode, 3).last
    assert checked.shown.value == pytest.approx(13.6)
    assert checked.verdict.words == "within the scale"


def test_two_weighings_of_the_whole_sheet_tell_what_came_between_them():
    cathode = hung()
    bitten(cathode, 12, at=1)
    weighed(cathode, 1014.0, at=2)
    bitten(cathode, 6, at=3)

    weighed(cathode, 1020.8, at=4)

    checked = at(cathode, 5).last
    assert checked.weighed.moved.value == pytest.approx(6.8)
    assert checked.verdict.words == "within the scale"


def test_a_strip_after_a_weighing_is_read_against_every_scale_between_them():
    cathode = hung(bare_half_width_g=1)
    bitten(cathode, 12, at=1)
    weighed(cathode, 1014, at=2, scale=1)
    bitten(cathode, 6, at=3)

    stripped(cathode, 20.8, at=4, scale=0.1)

    assert at(cathode, 5).last.weighed.moved.half_width == pytest.approx((1 + 1 + 0.01 + 0.01) ** 0.5)


def test_weighings_teach_the_efficiency_and_a_prediction_never_knows_its_own_weighing():
    cathode = hung()
    bitten(cathode, 20, at=1)
    stripped(cathode, 20 * 1.18549 * 0.955, at=2)
    bitten(cathode, 20, at=3)
    stripped(cathode, 20 * 1.18549 * 0.955, at=4)

    now = at(cathode, 5)

    first, second = now.checked
    assert first.spell.efficiency.value == pytest.approx(CATHODE.share.value)
    assert CATHODE.share.value > second.spell.efficiency.value > now.efficiency.value > 0.955
    assert now.efficiency.sd < CATHODE.share.sd


def test_what_stands_apart_teaches_nothing():
    cathode = hung()
    bitten(cathode, 20, at=1)

    stripped(cathode, 4, at=2)

    assert at(cathode, 3).efficiency.value == pytest.approx(CATHODE.share.value)


def test_each_cathode_learns_for_itself():
    taught, other = hung(), hung(name="Other sheet", bath=adopted(name="Small tank"))
    bitten(taught, 20, at=1)
    stripped(taught, 20 * 1.18549 * 0.95, at=2)

    assert at(other, 3).efficiency.value == pytest.approx(CATHODE.share.value)


def test_a_bites_charge_is_as_good_as_its_readings():
    cathode = hung()
    often = [CurrentReading(minutes=minute, amps=1.2) for minute in (1, 10, 20, 30)]
    bath = at(cathode, 1).bath

    bites.note(bath, setting=Setting(), ending=Ending(minutes=30), readings=often, by=signed(1))

    (read,) = at(cathode, 2).growth.running.charges
    assert read.value == pytest.approx(0.6)
    assert read.sd / read.value == pytest.approx(0.03, abs=0.002)


def test_a_bite_whose_current_nobody_read_is_told_of():
    cathode = hung()
    bites.note(at(cathode, 1).bath, setting=Setting(), ending=Ending(minutes=30), by=signed(1))

    now = at(cathode, 2)

    assert now.deposit.value == 0
    assert status.unread_bites([now]) == {cathode.pk: 1}


def test_a_cathode_is_due_at_its_set_thickness():
    cathode = hung(facing_cm2=100, strip_at_um=25)
    bite(cathode, 1.5, at=1)
    assert not at(cathode, 2).is_due

    bite(cathode, 1, at=3)

    assert at(cathode, 4).is_due
    assert at(cathode, 4).strip_at_g == pytest.approx(2.24)


def test_lumps_that_take_the_gap_make_it_due_before_its_thickness_does():
    cathode = hung(facing_cm2=100, strip_at_um=500, gap_mm=20, most_loss_percent=10)

    # a tenth of 20 mm is 2 mm of lumps, and they stand 20 times as high as the mean
    assert at(cathode, 1).strip_at_g == pytest.approx(100e-4 * 8.96 * 100)


def test_the_next_strip_is_foreseen_by_the_bites_of_late():
    cathode = hung(strip_at_um=25)
    for week in range(12):
        bite(cathode, 1.2, at=7 * week + 0.5)

    now = at(cathode, 84)

    assert now.rate.value == pytest.approx(12 * 1.2 * 0.975 * 1.18549 / 84, rel=1e-3)
    assert now.span.days == pytest.approx((22.4 - now.deposit.value) / now.rate.value)
    assert now.span.earliest < now.span.days < now.span.latest


def test_a_cathode_out_of_its_bath_is_not_foreseen():
    cathode = hung()
    bite(cathode, 1.2, at=1)
    operations.take_out(cathode, by=signed(2))

    assert at(cathode, 3).span is None


def test_only_the_last_two_years_are_learned_from():
    cathode = hung()
    bitten(cathode, 20, at=1)
    stripped(cathode, 20 * 1.18549 * 0.955, at=2)

    much_later = at(cathode, 800)

    assert much_later.checked == []
    assert much_later.efficiency.value == pytest.approx(CATHODE.share.value)


def test_however_many_cathodes_are_asked_about_as_few_questions_are_asked(django_assert_num_queries):
    for number in range(4):
        hung(name=f"Sheet {number}", bath=adopted(name=f"Tank {number}"))

    with django_assert_num_queries(6):
        status.statuses_of_cathodes(day(3))


def test_without_a_cathode_one_question_is_enough(django_assert_num_queries):
    with django_assert_num_queries(1):
        assert status.statuses_of_cathodes(day(3)) == []
