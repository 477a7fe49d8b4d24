import pytest

from inventory.refusals import Refused
from studio.waste import content, operations
from studio.waste.models import Deposit, Drum
from tests.factories import day, signed
from tests.studio.waste.shop import KEYHOLDER, drum, put

pytestmark = pytest.mark.django_db


def test_a_drum_begins_with_its_first_drop():
    vessel = drum(at=0)
    assert content.content_of_drum(vessel).started_at is None

    put(vessel, 4.5, at=3)

    assert content.content_of_drum(vessel).started_at == day(3)


def test_what_is_in_a_drum_is_what_went_in():
    vessel = drum()
    put(vessel, 4.5, at=1)
    put(vessel, 5, at=2)

    now = content.content_of_drum(vessel)

    assert now.volume.value == pytest.approx(9.5)
    assert now.full_percent == pytest.approx(47.5)


def test_a_drum_is_full_at_nine_tenths():
    vessel = drum(capacity_l=10)
    put(vessel, 8)

    with pytest.raises(Refused, match="takes 1 L more: it is full at 90 %"):
        put(vessel, 1.1, at=2)

    put(vessel, 1, at=2)
    assert content.content_of_drum(vessel).is_full
    with pytest.raises(Refused, match="W1 is full: begin another drum"):
        put(vessel, 0.1, at=3)


def test_what_is_written_late_fits_beside_what_went_in_since():
    vessel = drum(capacity_l=10)
    put(vessel, 6, at=5)

    with pytest.raises(Refused, match="takes 3 L more"):
        put(vessel, 4, at=2)


def test_a_level_seen_since_holds_what_is_written_late():
    vessel = drum(capacity_l=10)
    operations.look_over(vessel, found="fine", full_percent=80, by=signed(5))

    put(vessel, 4, at=2)

    assert content.content_of_drum(vessel).full_percent == 80


def test_another_kind_needs_a_keyholders_reason():
    vessel = drum("bath_spent")

    with pytest.raises(Refused, match="Only a keyholder may allow it"):
        put(vessel, 1, kind="rinse")
    put(vessel, 1, kind="rinse", allowance=KEYHOLDER)

    assert Deposit.objects.get().reason == "nobody else takes it"


@pytest.mark.parametrize(
    ("first", "second", "vessel"),
    [
        ("bath_spent", "cleaner_used", "hdpe"),
        ("rinse", "cleaner_used", "hdpe"),
        ("rinse", "solvent_spent", "hdpe"),
        ("cleaner_used", "bleach", "hdpe"),
        ("rags_copper", "rags_solvent", "lined_pail"),
    ],
)
def test_what_must_not_meet_is_refused_whoever_asks(first, second, vessel):
    into = drum(first, vessel=vessel)
    put(into, 1, at=1)

    with pytest.raises(Refused) as refusal:
        put(into, 1, at=2, kind=second, allowance=KEYHOLDER)

    assert refusal.value.field == "drum"
    assert Deposit.objects.count() == 1


@pytest.mark.parametrize(
    ("kind", "facts", "field"),
    [
        ("rinse", {"vessel": "steel"}, "vessel"),
        ("bath_spent", {"vessel": "galvanised"}, "vessel"),
        ("peroxide_mix", {"is_vented": False}, "is_vented"),
    ],
)
def test_a_vessel_that_cannot_hold_it_is_refused_whoever_asks(kind, facts, field):
    with pytest.raises(Refused) as refusal:
        drum(kind, **facts, allowance=KEYHOLDER)

    assert refusal.value.field == field
    assert not Drum.objects.exists()


def test_an_unusual_vessel_takes_a_keyholder_who_says_why():
    with pytest.raises(Refused, match="Only a keyholder may allow it"):
        drum("solvent_spent")

    assert drum("solvent_spent", allowance=KEYHOLDER).reason == "nobody else takes it"


def test_no_two_drums_have_one_name():
    drum(name="W1")

    with pytest.raises(Refused, match="There is a drum called w1 already"):
        drum(name="w1")


def test_nothing_goes_into_a_drum_before_it_was_set_up():
    vessel = drum(at=2)

    with pytest.raises(Refused, match="was set up later"):
        put(vessel, 1, by=signed(1))
