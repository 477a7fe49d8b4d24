from datetime import timedelta

import pytest

from chemistry.measured import Measured
from inventory import book
from inventory import book as inventory_book
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths.models import Bath, BathEvent
from studio.bites import calibration, operations
from studio.bites.models import Bite, BiteStop
from studio.bites.operations import CurrentReading, Ending, Setting
from studio.bites.views.planner import planned
from tests.factories import BathFactory, PersonFactory, adopted, bitten, day, plate, signed, started

pytestmark = pytest.mark.django_db

MINUTE = 1 / 1440


def volume_l(bath, at=5):
    return estimate.at_moment(bath, day(at)).volume_l


def charges(bath):
    events = BathEvent.objects.standing().filter(bath=bath, kind=BathEvent.Kind.BITTEN).in_order()
    return [event.values["charge_ah"] for event in events]


def read(bite, minutes, amps, **facts):
    return operations.read(bite, amps=amps, by=signed(1 + minutes * MINUTE), **facts)


def stop(bite, minutes, **facts):
    return operations.stop(bite, by=signed(1 + minutes * MINUTE), **facts)


def stopped(bite):
    return BiteStop.objects.standing().get(bite=bite)


# a bite from its start to its stop


def test_a_bite_that_was_started_runs_until_it_is_stopped():
    bath = adopted()

    bite = started(bath, planned_min=30)

    assert list(Bite.objects.running()) == [bite]
    assert bite.ends_at == day(1) + timedelta(minutes=30)

    stop(bite, 28, amps=1.2)

    assert list(Bite.objects.running()) == []


def test_start_reading_and_stop_are_an_entry_each():
    bath = adopted()
    before = Entry.objects.count()

    bite = started(bath)
    read(bite, 10, 1.3)
    stop(bite, 30, amps=1.1)

    kinds = list(Entry.objects.order_by("pk").values_list("kind", flat=True))[before:]
    assert kinds == ["bite started", "bite read", "bite stopped"]


def test_the_stop_brings_charge_and_drips_to_the_bath():
    bath = adopted()
    bite = started(bath)
    read(bite, 1, 1.2)

    stop(bite, 30, ml_each=8)

    assert charges(bath) == [pytest.approx(0.6)]
    assert volume_l(bath) == pytest.approx(12 - 0.008, abs=1e-6)
    assert not list(estimate.unsound_baths())


def test_a_running_bite_has_not_touched_the_bath_yet():
    bath = adopted()
    before = volume_l(bath)

    bite = started(bath)
    read(bite, 1, 1.2)

    assert charges(bath) == [] and volume_l(bath) == before


def test_a_start_makes_the_pages_of_the_bath_new_and_replays_nothing(django_assert_max_num_queries):
    bath = adopted()
    before = bath.revision

    with django_assert_max_num_queries(15):
        started(bath)

    bath.refresh_from_db()
    assert bath.revision == before + 1 and bath.estimate_is_current


def test_several_readings_are_trapezoids():
    bite = started(adopted())
    for minutes, amps in ((0, 2.0), (10, 2.0), (20, 3.0)):
        read(bite, minutes, amps)

    stop(bite, 30)

    assert stopped(bite).charge_ah == pytest.approx((10 * 2 + 10 * 2.5 + 10 * 3) / 60)


def test_readings_may_be_written_in_any_order():
    bite = started(adopted())
    read(bite, 20, 3.0)
    read(bite, 1, 2.0)

    assert [reading.amps for reading in bite.standing_readings()] == [2.0, 3.0]


def test_volts_set_and_volts_read_are_kept_apart():
    bite = started(adopted(), volts_set=5.0)

    read(bite, 1, 1.2, volts=0.9)

    assert (bite.volts_set, bite.readings.get().volts) == (5.0, 0.9)


def test_a_stop_that_nobody_read_a_current_for_is_written_all_the_same():
    bath = adopted()
    bite = started(bath)

    stop(bite, 30)

    assert stopped(bite).charge_ah is None
    assert charges(bath) == []
    assert volume_l(bath) == pytest.approx(12 - 0.006, abs=1e-6)


def test_a_supply_that_counts_is_believed():
    bite = started(adopted())
    read(bite, 1, 1.2)

    stop(bite, 30, counted_ah=0.55)

    assert (stopped(bite).charge_ah, stopped(bite).is_counted) == (0.55, True)


def test_stages_of_a_plate_are_bites_of_their_own():
    bath, harbour = adopted(), plate()

    for stage, minutes in enumerate((10, 10, 15)):
        bitten(bath, at=1 + stage / 24, minutes=minutes, plate=harbour)

    assert [stop.minutes for stop in BiteStop.objects.order_by("pk")] == [10, 10, 15]
    assert harbour.bites.standing().count() == 3


# power cuts


def test_a_power_cut_ends_a_bite_about_when_the_power_went():
    bite = started(adopted())
    read(bite, 1, 1.2)

    stop(bite, 12, is_about=True)

    assert stopped(bite).charge_ah == pytest.approx(1.2 * 12 / 60)
    assert stopped(bite).charge_sd_ah > 0.03


def test_a_supply_that_came_back_by_itself_counts_only_the_live_minutes():
    bite = started(adopted())
    read(bite, 1, 1.2)

    stop(bite, 40, off_at=day(1 + 10 * MINUTE), back_at=day(1 + 25 * MINUTE))

    assert (stopped(bite).off_from_min, stopped(bite).off_until_min) == pytest.approx((10, 25))
    assert stopped(bite).charge_ah == pytest.approx(1.2 * 25 / 60)


@pytest.mark.parametrize(
    ("off", "back", "field", "sentence"),
    [
        (-5, 10, "off_at", "The current went on at"),
        (20, 10, "back_at", "it came back after that"),
        (10, 90, "back_at", "it came back before that, or not at all"),
    ],
)
def test_a_cut_lies_inside_its_bite(off, back, field, sentence):
    bite = started(adopted())

    with pytest.raises(Refused, match=sentence) as refusal:
        stop(bite, 40, off_at=day(1 + off * MINUTE), back_at=day(1 + back * MINUTE))

    assert refusal.value.field == field


# one tank, one plate, several people


def test_a_bath_in_use_is_asked_about_before_a_second_plate_hangs_in_it():
    bath = adopted(name="Upright tank")
    started(bath, plate=plate())

    with pytest.raises(Refused, match=r"Upright tank is in use until .* by Printer .*: Harbour hangs in it") as refusal:
        started(bath, at=1.01)

    assert refusal.value.field == "beside_anyway"


def test_a_second_plate_beside_the_first_is_taken_at_its_word():
    bath = adopted()
    started(bath)

    operations.start(bath, setting=Setting(), by=signed(1.01), beside_anyway=True)

    assert Bite.objects.running().count() == 2


def test_a_plate_hangs_in_one_bath_at_a_time():
    harbour = plate()
    started(adopted(), plate=harbour)

    with pytest.raises(Refused, match="stop that bite first"):
        started(adopted(), at=1.01, plate=harbour)


def test_a_bite_is_stopped_once_whoever_comes_first():
    bite = started(adopted())
    operations.stop(bite, by=signed(1.02, done_by=PersonFactory(name="Nell")))

    with pytest.raises(Refused, match="Nell stopped it at"):
        stop(bite, 40)

    assert BiteStop.objects.count() == 1


def test_nothing_is_read_after_the_stop():
    bite = started(adopted())
    stop(bite, 30, amps=1.2)

    with pytest.raises(Refused, match="stopped it at"):
        read(bite, 35, 1.0)


def test_a_double_tap_stops_once():
    bite = started(adopted())
    by = signed(1.02, key="11111111-1111-1111-1111-111111111111")
    operations.stop(bite, by=by)

    with pytest.raises(inventory_book.AlreadyWritten):
        operations.stop(bite, by=by)

    assert BiteStop.objects.count() == 1


# nonsense


def test_a_bath_that_nobody_has_read_is_mixed_or_adopted_first():
    with pytest.raises(Refused, match="was unread then"):
        started(BathFactory())


def test_a_stop_lies_after_its_start():
    bite = started(adopted())

    with pytest.raises(Refused, match="It began at"):
        stop(bite, -5)


def test_a_bite_forgotten_for_a_fortnight_asks_when_it_really_stopped():
    bite = started(adopted())

    with pytest.raises(Refused, match="14 days after it began"):
        stop(bite, 14 * 1440)


def test_more_copper_than_the_plate_has_is_not_bare():
    with pytest.raises(Refused, match=r"400 cm² is more than the whole face of the plate, 308.56 cm²") as refusal:
        started(adopted(), plate=plate(), exposed=Measured(400, 40, "cm²"))

    assert refusal.value.field == "exposed_cm2"


def test_a_bite_written_down_must_be_over():
    with pytest.raises(Refused, match="which has not come yet") as refusal:
        operations.note(adopted(), setting=Setting(), ending=Ending(minutes=30), by=signed(at=100_000))

    assert refusal.value.field == "minutes"


def usual(bath, harbour, bites=4):
    """Bites of 2.4 to 2.6 A/dm², from which the bath's usual current is learned."""
    for number in range(bites):
        amps = 1.2 + 0.03 * number
        bitten(bath, at=1 + number, amps=amps, plate=harbour, exposed=Measured(50, 5, "cm²"))


@pytest.mark.parametrize(
    ("amps", "volts", "asks"), [(9.0, 1.2, "Were amps and volts swapped"), (9.0, 0.01, "Is the exposed area right")]
)
def test_a_current_far_from_usual_is_asked_about(amps, volts, asks):
    bath, harbour = adopted(), plate()
    usual(bath, harbour)
    bite = started(bath, at=9, plate=harbour, exposed=Measured(50, 5, "cm²"))

    with pytest.raises(Refused, match=asks) as refusal:
        operations.read(bite, amps=amps, volts=volts, by=signed(9.01))

    assert refusal.value.field == "unusual_anyway"
    operations.read(bite, amps=amps, volts=volts, by=signed(9.01), unusual_anyway=True)


def test_an_unusual_current_that_somebody_kept_stays_out_of_what_is_usual_and_of_the_planner():
    bath, harbour = adopted(), plate()
    usual(bath, harbour)
    before = calibration.usual_density(bath, 240)

    bitten(bath, at=9, amps=9.0, plate=harbour, exposed=Measured(50, 5, "cm²"))

    after = calibration.usual_density(Bath.objects.get(), 240)
    assert (after.value, after.sd) == pytest.approx((before.value, before.sd))
    told = planned(bath=bath, depth=20.0, amps=None, exposed=None)
    assert told["density"].value == pytest.approx(before.value, rel=0.01)


def test_a_studio_without_bites_has_nothing_usual_to_ask_about():
    bite = started(adopted(), plate=plate(), exposed=Measured(50, 5, "cm²"))

    read(bite, 1, 12.0)

    assert bite.readings.get().amps == 12.0


# written down after the fact, struck and put right


def test_a_bite_written_down_afterwards_is_one_entry_with_everything_in_it():
    bath = adopted()
    before = Entry.objects.count()

    bite = bitten(bath, amps=0.8, minutes=28, plate=plate(), ml_each=8)

    assert Entry.objects.count() == before + 2  # the plate and the bite
    assert str(bite.entry) == f"Bitten in {bath}: Harbour, 0.8 A for 28 min"
    assert charges(bath) == [pytest.approx(0.8 * 28 / 60)]
    assert volume_l(bath) == pytest.approx(12 - 0.008, abs=1e-6)


def test_a_back_dated_bite_goes_where_it_belongs_in_the_log():
    bath = adopted()
    bitten(bath, at=3)

    early = bitten(bath, at=2)

    assert list(Bite.objects.latest_first()) == [Bite.objects.exclude(pk=early.pk).get(), early]
    assert not list(estimate.unsound_baths())


def test_a_struck_bite_stops_counting_everywhere():
    bath = adopted()
    bite = bitten(bath)

    book.strike(bite.entry, by=signed(2), reason="the other tank")

    assert charges(bath) == [] and not Bite.objects.standing().exists()
    assert volume_l(bath) == pytest.approx(12, abs=1e-6)
    assert not list(estimate.unsound_baths())


def test_striking_the_stop_lets_the_bite_run_again():
    bath = adopted()
    bite = started(bath)
    ended = stop(bite, 30, amps=1.2)

    book.strike(ended, by=signed(2), reason="still running")

    assert list(Bite.objects.running()) == [bite]
    assert charges(bath) == []

    stop(bite, 45, amps=1.2)

    assert charges(bath) == [pytest.approx(0.9)]


def test_what_a_stop_rests_on_is_struck_after_it():
    bite = started(adopted())
    reading, ended = read(bite, 1, 1.2), stop(bite, 30)

    for earlier in (reading, bite.entry):
        with pytest.raises(Refused, match="strike them first, the latest before the others: “Stopped the bite"):
            book.strike(earlier, by=signed(2), reason="slip")

    for entry in (ended, reading, bite.entry):
        book.strike(entry, by=signed(2), reason="slip")
    assert not Bite.objects.standing().exists()


def test_a_plate_is_struck_after_its_bites():
    harbour = plate()
    bite = bitten(adopted(), plate=harbour)

    with pytest.raises(Refused, match="Later lines rest on this one"):
        book.strike(harbour.entry, by=signed(2), reason="slip")

    book.strike(bite.entry, by=signed(2), reason="slip")
    book.strike(harbour.entry, by=signed(2), reason="slip")


def test_striking_a_running_bite_frees_the_bath():
    bath = adopted()
    bite = started(bath)
    before = Bath.objects.get(pk=bath.pk).revision

    book.strike(bite.entry, by=signed(2), reason="never clipped")

    assert not Bite.objects.running().exists()
    assert Bath.objects.get(pk=bath.pk).revision > before
    started(bath, at=3)


def test_a_bite_is_put_right_by_striking_it_and_writing_it_anew():
    bath, harbour = adopted(), plate()
    bite = started(bath, plate=harbour)
    read(bite, 1, 0.9, volts=1.2)
    stop(bite, 30)

    entry = operations.put_right(
        bite,
        reason="amps and volts swapped",
        by=signed(1),
        bath=bath,
        setting=Setting(plate=harbour),
        readings=[CurrentReading(minutes=1, amps=1.2, volts=0.9)],
        ending=Ending(minutes=30),
    )

    assert list(Bite.objects.standing()) == [entry.bites.get()]
    assert charges(bath) == [pytest.approx(0.6)]
    assert Entry.objects.filter(strike_reason="amps and volts swapped").count() == 3
    assert not list(estimate.unsound_baths())


def test_a_correction_that_is_refused_leaves_the_bite_as_it_was():
    bath, harbour = adopted(), plate()
    bite = bitten(bath, plate=harbour)

    with pytest.raises(Refused):
        operations.put_right(
            bite,
            reason="larger",
            by=signed(1),
            bath=bath,
            setting=Setting(plate=harbour, exposed=Measured(900, 90, "cm²")),
            ending=Ending(minutes=30),
        )

    assert list(Bite.objects.standing()) == [bite]


def test_a_correction_may_move_a_bite_to_the_bath_it_really_ran_in():
    wrong, right = adopted(), adopted()
    bite = bitten(wrong)

    operations.put_right(
        bite,
        reason="the small one",
        by=signed(1),
        bath=right,
        setting=Setting(),
        ending=Ending(minutes=30, counted_ah=1),
    )

    assert (charges(wrong), charges(right)) == ([], [1.0])


def test_a_correction_cannot_be_written_twice():
    bite = bitten(adopted())
    by = signed(1, key="11111111-1111-1111-1111-111111111111")
    facts = {"reason": "slip", "bath": bite.bath, "setting": Setting(), "ending": Ending(minutes=30)}
    operations.put_right(bite, by=by, **facts)

    for again in (by, signed(1)):
        with pytest.raises((inventory_book.AlreadyWritten, Refused)):
            operations.put_right(bite, by=again, **facts)

    assert Bite.objects.standing().count() == 1
