"""One bath poured into another tank of the book: nothing is lost on the way, however it was told how much."""

from dataclasses import replace

import pytest

from chemistry.bath import Adopted, LevelRead, Removed, RemovedByLevel, RemovedByWeight, SolutionAdded, figures
from chemistry.solution import sulfate
from inventory.book import strike
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import estimate, operations
from studio.cathodes.balance import account_of
from studio.cathodes.period import Period
from tests.factories import BathFactory, adopted, day, signed
from tests.studio.baths.test_acid import sent
from tests.studio.baths.test_planner import errors

pytestmark = pytest.mark.django_db

WAYS = {
    "jug": Removed(day=0, litres=3),
    "scale": RemovedByWeight(day=0, grams=3450),
    "levels": RemovedByLevel(day=0, before_l=12, after_l=9, sd_l=0.1),
}


def state(bath, at=9.0):
    return estimate.at_moment(bath, day(at))


def masses(*baths, at=9.0):
    states = list(filter(None, (state(bath, at) for bath in baths)))
    return [sum(getattr(each, name) for each in states) for name in ("water_g", "salt_g", "acid_g")]


def begun(strength, acid, name="Upright tank", volume_l=12):
    """A tank whose acid is known: some, none, or nobody said."""
    tank = BathFactory(name=name)
    figures = {"volume_l": volume_l, "volume_sd_l": 0.1, "strength_g_per_l": strength, "strength_sd_g_per_l": 5}
    operations.adopt(tank, Adopted(day=0, acid_g_per_l=acid, **figures), lid_on=True, by=signed(0))
    return tank


def test_water_salt_and_acid_are_kept_whichever_way_it_is_told():
    for way, taken in WAYS.items():
        for acid in (None, 0.0, 45.0):
            for is_unread in (False, True):
                case = (way, acid, is_unread)
                bath = begun(240, acid, name=f"From {case}")
                name = f"Into {case}"
                into = BathFactory(name=name) if is_unread else adopted(name=name, volume_l=5)
                before = masses(bath, into)

                entry = operations.pour_into(bath, taken, into=into, by=signed(1))

                assert entry.bath_events.count() == (3 if is_unread else 2) + (way == "levels"), case
                assert masses(bath, into) == pytest.approx(before, rel=2e-3, abs=0.5), case
                poured = state(into).volume_l - (0 if is_unread else 5)
                assert poured == pytest.approx(3, rel=0.03), case
                assert state(bath).strength_g_per_l == pytest.approx(240, rel=1e-3), case
                if is_unread:
                    assert state(into).strength_g_per_l == pytest.approx(240, rel=1e-3), case
                    assert state(into).acid_is_known == (acid is not None), case


def test_what_nobody_knows_of_one_bath_nobody_knows_of_the_other():
    bath, known = begun(240, None), begun(200, 0.0, name="Small tank", volume_l=5)
    before = state(known, 1.5).acid_sd_g_per_l

    operations.pour_into(bath, WAYS["jug"], into=known, by=signed(2))

    assert before == pytest.approx(0, abs=1e-6) and state(known).acid_sd_g_per_l > 5


def test_only_the_clear_liquid_over_crystals_goes_along():
    bath, into = begun(450, 0.0), BathFactory(name="Small tank")

    operations.pour_into(bath, WAYS["jug"], into=into, by=signed(1))

    saturated = figures.settle(state(bath), temperature_c=20).liquid_strength_g_per_l
    assert state(into).strength_g_per_l == pytest.approx(saturated, rel=1e-3)
    assert state(bath).strength_g_per_l > 450


def test_a_strike_gives_both_baths_back():
    bath, into = adopted(), adopted(name="Small tank", volume_l=5)
    before = [state(each) for each in (bath, into)]

    entry = operations.pour_into(bath, WAYS["jug"], into=into, by=signed(1))
    assert str(entry) == f"Poured 3 L of {bath} into Small tank"
    strike(entry, by=signed(2), reason="never done")

    for then, each in zip(before, (bath, into), strict=True):
        assert state(each).salt_g == pytest.approx(then.salt_g)
        assert state(each).volume_l == pytest.approx(then.volume_l)


def test_what_cannot_be_poured_is_refused_and_nothing_is_written():
    bath, small = adopted(), adopted(name="Small tank", volume_l=5, rim_l=6, fill_l=5)
    refusals = [
        (bath, WAYS["jug"], bath, "into", "the same bath"),
        (bath, WAYS["jug"], small, "litres", "runs over at 6 L"),
        (bath, WAYS["jug"], BathFactory(name="Jar", rim_l=2, fill_l=1), "litres", "runs over at 2 L"),
        (bath, replace(WAYS["jug"], litres=40), small, "litres", "Only 12 L"),
        (BathFactory(name="Unread"), WAYS["jug"], small, "happened_at", "unread"),
    ]
    before = Entry.objects.count()

    for source, taken, into, field, sentence in refusals:
        with pytest.raises(Refused, match=sentence) as refused:
            operations.pour_into(source, taken, into=into, by=signed(1))
        assert refused.value.field == field

    assert Entry.objects.count() == before


def test_the_copper_stands_on_both_sides_of_the_balance():
    bath, into = adopted(), adopted(name="Small tank", volume_l=5)
    operations.pour_into(bath, WAYS["scale"], into=into, by=signed(1))

    account = account_of(Period(since=day(0.5), until=day(3)))

    [came] = [each.copper for each in account.balance.came if each.name == "poured in"]
    [went] = [each.copper for each in account.balance.went if each.name == "poured over"]
    # once on either side, and not the two of them on both
    lost_g = sulfate.COPPER_PER_BLUE * (state(bath, at=0.9).salt_g - state(bath).salt_g)
    assert went.value == pytest.approx(lost_g, rel=2e-3)
    assert came.value == pytest.approx(went.value, rel=2e-3)
    assert account.balance.closes


def test_the_page_takes_each_way_and_says_what_is_missing(member):
    ways = [
        {"told": "jug", "litres_0": "500", "litres_1": "mL"},
        {"told": "scale", "weight_0": "1,2", "weight_1": "kg"},
        {"told": "levels", "level_before_0": "9", "level_before_1": "L", "level_after_0": "8", "level_after_1": "L"},
    ]
    bath, into = adopted(), adopted(name="Small tank", volume_l=2)
    operations.read(bath, LevelRead(day=0, volume_l=12, sd_l=0.1), words="12 L", by=signed(0.5))

    for typed in ways:
        answer = sent(member, "pour_into", bath, into=into.pk, **typed)
        assert answer.status_code == 302, (typed, answer.context and answer.context["form"].errors)
    answer = sent(member, "pour_into", bath, told="jug", litres_0="900", litres_1="mL")

    assert "Needed" in errors(answer, "into") and answer.context["form"]["litres"].value() == ["900", "mL"]
    assert into.events.filter(kind=SolutionAdded.__name__).count() == 3
