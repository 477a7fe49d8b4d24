import pytest
from django.utils import timezone

from chemistry.bath import DensityRead, LevelRead
from inventory import book
from inventory.models import Material
from inventory.refusals import NotEnoughStock, Refused
from studio.baths import estimate, operations
from studio.baths.models import Answer, BathEvent, Estimate
from studio.baths.salt import Portion
from tests.factories import BathFactory, adopted, bitten, day, jug, signed, stocked

pytestmark = pytest.mark.django_db


def mixed(at=0.0, **bath):
    tank = BathFactory(**bath)
    operations.mix(tank, water_l=11, salt=[Portion(stocked("4600 g", crystals=True), 3_000_000)], by=signed(at))
    return tank


def strength(bath, at):
    return estimate.at_moment(bath, day(at)).strength_g_per_l


def test_mixing_takes_the_crystals_from_the_shelf_in_the_same_entry():
    jar = stocked("4600 g", crystals=True)

    entry = operations.mix(BathFactory(), water_l=11, salt=[Portion(jar, 3_000_000)], by=signed(0))

    jar.refresh_from_db()
    assert jar.on_hand == 1_600_000
    assert entry.movements.get().container == jar
    assert [event.kind for event in entry.bath_events.all()] == ["Mixed", "DryingRate"]


def test_a_mix_of_three_kilos_in_eleven_litres_is_about_247_g_per_l():
    bath = mixed()

    assert strength(bath, 0) == pytest.approx(247, abs=1)


def test_pale_powder_counts_for_more_than_its_weight_in_crystals():
    crystals = Portion(stocked("1 kg", crystals=True), 1_000_000)
    powder = Portion(stocked("1 kg", powder=True), 1_000_000)

    assert powder.salt_g / crystals.salt_g == pytest.approx(1.5644, abs=1e-4)


def test_a_salt_that_is_no_copper_sulfate_is_refused():
    table_salt = stocked("1 kg", bath_use=Material.BathUse.NONE)

    with pytest.raises(Refused, match="blue crystals or pale powder"):
        operations.mix(BathFactory(), water_l=3, salt=[Portion(table_salt, 100_000)], by=signed(0))


def test_a_mix_that_runs_over_is_refused_before_anything_is_written():
    jar = stocked("4600 g", crystals=True)

    with pytest.raises(Refused, match="runs over at 12 L"):
        operations.mix(BathFactory(rim_l=12, fill_l=11), water_l=11, salt=[Portion(jar, 3_000_000)], by=signed(0))

    jar.refresh_from_db()
    assert jar.on_hand == 4_600_000
    assert not BathEvent.objects.exists()


def test_a_mix_in_cold_water_says_what_would_stay_on_the_floor():
    salt = [Portion(stocked("4 kg", crystals=True), 3_000_000)]

    with pytest.raises(Refused, match="can hold only 2"):
        operations.mix(BathFactory(), water_l=10, salt=salt, temperature_c=5, by=signed(0))


def test_a_mix_with_more_crystals_than_the_jar_holds_is_refused_beside_the_salt():
    with pytest.raises(NotEnoughStock) as refused:
        operations.mix(BathFactory(), water_l=3, salt=[Portion(stocked("100 g", crystals=True), 500_000)], by=signed(0))

    assert refused.value.field == "salt"


def test_a_bath_is_unread_until_it_is_mixed_or_adopted():
    bath = BathFactory()

    with pytest.raises(Refused, match="unread"):
        operations.read(bath, DensityRead(day=0, sg=1.15, temperature_c=20, reference_c=20), words="", by=signed(0))

    assert estimate.at_moment(bath, day(1)) is None


def test_topping_up_with_water_alone_brings_the_strength_down():
    bath = adopted(strength_g_per_l=260)

    operations.top_up(bath, water_l=0.5, by=signed(1))

    assert strength(bath, 1) == pytest.approx(260 * 12 / 12.5, abs=1)


def test_water_is_welcome_over_crystals_that_it_does_not_dissolve_yet():
    bath = adopted(volume_l=8, strength_g_per_l=380)

    operations.top_up(bath, water_l=0.5, by=signed(1))

    assert strength(bath, 1) == pytest.approx(380 * 8 / 8.5, abs=2)


def test_distilled_water_leaves_its_container():
    bath, water = adopted(), stocked("20 L", water=True)

    operations.top_up(bath, water_l=0.5, water_from=water, by=signed(1))

    water.refresh_from_db()
    assert water.on_hand == 19_500_000


def test_crystals_are_questioned_when_only_water_can_have_left():
    bath, jar = adopted(), stocked("1 kg", crystals=True)

    with pytest.raises(Refused, match="only water has left: water alone gives 232 g/L") as refused:
        operations.top_up(bath, water_l=0.4, salt=[Portion(jar, 100_000)], by=signed(1))

    assert refused.value.field == "salt_anyway"


def test_crystals_are_welcome_after_a_bite():
    bath, jar = adopted(), stocked("1 kg", crystals=True)
    bitten(bath)

    operations.top_up(bath, water_l=0.2, salt=[Portion(jar, 100_000)], by=signed(2))

    assert strength(bath, 2) > 240


def test_a_bite_carries_a_few_drips_out():
    bath = adopted()
    before = estimate.at_moment(bath, day(1)).volume_l

    bitten(bath, ml_each=8)

    assert before - estimate.at_moment(bath, day(1)).volume_l == pytest.approx(0.008, abs=1e-6)


def test_more_than_is_in_the_bath_cannot_be_taken_out():
    with pytest.raises(Refused, match="Only 12 L"):
        operations.take_out(adopted(), jug(12.5), where_to="to a jug", by=signed(1))


def test_an_open_bath_dries_and_a_covered_one_does_not():
    open_bath, covered = adopted(lid_on=False), adopted(lid_on=True)

    assert strength(open_bath, 30) > 245
    assert strength(covered, 30) == pytest.approx(240)


def test_the_lid_off_begins_the_drying():
    bath = adopted(lid_on=True)

    operations.cover(bath, lid_on=False, by=signed(10))

    assert strength(bath, 10) < strength(bath, 20)
    assert not operations.lid_is_on(bath, timezone.now())


def test_a_hydrometer_narrows_the_spread():
    bath = adopted()
    before = estimate.at_moment(bath, day(1)).strength_sd_g_per_l

    operations.read(
        bath, DensityRead(day=0, sg=1.151, temperature_c=20, reference_c=20), words="SG 1.151", by=signed(1)
    )

    assert estimate.at_moment(bath, day(1)).strength_sd_g_per_l < before


def far_off(bath, at=1.0):
    words = "SG 1.190 at 20 °C"
    entry = operations.read(
        bath, DensityRead(day=0, sg=1.19, temperature_c=20, reference_c=20), words=words, by=signed(at)
    )
    return entry.bath_events.get()


def test_a_reading_far_from_the_book_is_held_out():
    bath = adopted()
    before = strength(bath, 1)

    reading = far_off(bath)

    assert reading.is_held_out
    assert strength(bath, 1) == pytest.approx(before)


def test_trusting_the_reading_moves_the_book():
    bath = adopted()
    reading = far_off(bath)

    operations.answer(reading, choice=Answer.Choice.TRUST_READING, by=signed(2))

    assert strength(bath, 2) > 270


@pytest.mark.parametrize("choice", [Answer.Choice.TRUST_BOOK, Answer.Choice.READ_AGAIN])
def test_trusting_the_book_leaves_it_as_it_was(choice):
    bath = adopted()
    reading = far_off(bath)

    operations.answer(reading, choice=choice, by=signed(2))

    assert strength(bath, 2) == pytest.approx(240, abs=0.5)


def test_a_reading_that_agrees_after_a_forgotten_top_up_comes_in_by_itself():
    bath = adopted(volume_l=10)
    words = "at the mark"
    entry = operations.read(bath, LevelRead(day=0, volume_l=11.5, sd_l=0.05), words=words, by=signed(2))
    reading = entry.bath_events.get()
    assert reading.is_held_out

    operations.top_up(bath, water_l=1.5, by=signed(1))

    assert not Estimate.objects.get(event=reading).far_off_sd


def test_an_entry_written_last_resumes_as_a_full_replay_would():
    bath = mixed()
    operations.cover(bath, lid_on=False, by=signed(3))
    operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.05), words="", by=signed(8))

    assert not list(estimate.unsound_baths())


def test_a_back_dated_entry_recomputes_everything_after_it():
    bath = adopted()
    operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.1), words="", by=signed(10))

    operations.spill(bath, litres=0.3, by=signed(5))

    assert not list(estimate.unsound_baths())
    assert estimate.at_moment(bath, day(6)).volume_l == pytest.approx(11.7, abs=0.01)


def test_the_revision_rises_with_every_write():
    bath = adopted()
    before = bath.revision

    operations.spill(bath, litres=0.3, by=signed(5))

    bath.refresh_from_db()
    assert bath.revision == before + 1


def test_a_double_tap_tops_up_once():
    bath = adopted()
    by = signed(1, key="11111111-1111-1111-1111-111111111111")
    operations.top_up(bath, water_l=0.5, by=by)

    with pytest.raises(book.AlreadyWritten):
        operations.top_up(bath, water_l=0.5, by=by)

    assert estimate.at_moment(bath, day(1)).volume_l == pytest.approx(12.5, abs=0.01)


def test_a_tampered_estimate_is_found():
    bath = adopted()
    kept = Estimate.objects.filter(bath=bath).last()
    Estimate.objects.filter(pk=kept.pk).update(state=kept.state | {"salt_g": 1.0})

    assert list(estimate.unsound_baths()) == [bath]


def test_a_mix_marks_the_fill_of_a_tank_that_nobody_gave_one():
    jar = stocked("4600 g", crystals=True)
    tank = BathFactory(rim_l=13, fill_l=11.7, fill_is_given=False)

    operations.mix(tank, water_l=3, salt=[Portion(jar, 810_000)], by=signed(0))

    tank.refresh_from_db()
    assert tank.fill_l == pytest.approx(3.31, abs=0.01)


def test_a_bath_adopted_below_a_fill_that_was_given_is_below_its_mark():
    tank = adopted(volume_l=10, fill_l=12)

    assert tank.fill_l == 12
