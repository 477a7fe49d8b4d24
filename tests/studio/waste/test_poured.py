"""How well a drum's copper is known, by the ways in which a studio fills one."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from chemistry.bath import Adopted
from chemistry.measured import Measured
from chemistry.solution.sulfate import COPPER_PER_BLUE
from inventory.book import strike
from studio.baths import operations as baths
from studio.waste import operations, sources
from studio.waste.content import Content, content_of_drum, contents_of_drums
from studio.waste.models import Deposit
from studio.waste.operations import DepositRequest
from tests.factories import BathFactory, adopted, bitten, jug, signed
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db

STRENGTH_G_PER_L = 229
MG_PER_L = 1000 * COPPER_PER_BLUE * STRENGTH_G_PER_L


def bath(name="Upright tank"):
    """Read with care: to 4 g/L."""
    tank = BathFactory(name=name)
    known = {"volume_l": 12, "volume_sd_l": 0.1, "strength_g_per_l": STRENGTH_G_PER_L, "strength_sd_g_per_l": 4 / 1.96}
    baths.adopt(tank, Adopted(day=0, **known), lid_on=True, by=signed(0))
    return tank


def pour(tank, into, litres, at=2):
    return sources.take_out(tank, jug(litres), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(at))


def per_litre(into):
    return content_of_drum(into).copper_per_l


def test_a_drum_filled_from_one_bath_is_known_as_well_as_the_bath():
    tank, into = bath(), drum("bath_spent")
    pour(tank, into, 4)

    one = per_litre(into)
    pour(tank, into, 3, at=3)

    assert (one.value, one.half_width) == (pytest.approx(MG_PER_L, rel=0.01), pytest.approx(1018, rel=0.1))
    two = per_litre(into)
    assert (two.value, two.half_width) == (pytest.approx(MG_PER_L, rel=0.01), pytest.approx(1018, rel=0.1))


def test_two_baths_in_one_drum_are_wrong_each_for_itself():
    into = drum("bath_spent")
    for tank in (bath(), bath("Small tank")):
        pour(tank, into, 3)

    assert per_litre(into).half_width == pytest.approx(1018 / 2**0.5, rel=0.1)


def test_rinse_beside_bath_is_known_as_little_as_the_jugs_tell_their_shares():
    tank, into = bath(), drum("bath_spent")
    pour(tank, into, 3)
    put(into, 3, at=3, copper_g=Measured(1, 0.5, "g"))

    found = per_litre(into)

    assert found.value == pytest.approx(MG_PER_L / 2, rel=0.02)
    assert 1018 < found.half_width < 0.2 * found.value


def test_a_weighing_tells_the_weight_and_leaves_the_litre_as_it_was():
    tank, into = bath(), drum("bath_spent", tare_g=1000.0)
    pour(tank, into, 4)
    before = per_litre(into)

    operations.weigh(into, gross_g=5560, half_width_g=20, by=signed(3))

    after = per_litre(into)
    assert (after.value, after.half_width) == pytest.approx((before.value, before.half_width), rel=0.01)
    assert content_of_drum(into).mass.half_width == pytest.approx(28, abs=1)


def test_a_litre_poured_over_carries_the_same_copper_in_both_drums():
    tank, into, other = bath(), drum("bath_spent"), drum("bath_spent", name="W9")
    pour(tank, into, 4)

    operations.pour_over(
        into, into=DepositRequest(drum=other, kind="bath_spent", litres=Measured(1, 0.1, "L")), by=signed(3)
    )

    for each in (into, other):
        assert per_litre(each).value == pytest.approx(MG_PER_L, rel=0.01)
        assert per_litre(each).half_width == pytest.approx(1018, rel=0.1)
    assert content_of_drum(other).volume.sd == pytest.approx(0.1)


def test_what_nobody_knows_is_not_known_by_the_litre():
    tank, into = bath(), drum("bath_spent")
    pour(tank, into, 4)
    put(into, 1, at=3)

    assert per_litre(into) is None
    assert content_of_drum(into).copper_at_least.value == pytest.approx(4 * MG_PER_L / 1000, rel=0.01)


def test_a_struck_pour_is_as_if_it_had_not_been():
    tank, into = bath(), drum("bath_spent")
    pour(tank, into, 4)
    before = content_of_drum(into)
    slip = pour(tank, into, 1, at=3)

    strike(slip, by=signed(4), reason="a slip")

    after = content_of_drum(into)
    assert (after.copper, after.copper_per_l) == (before.copper, before.copper_per_l)


def test_crystals_on_the_floor_stay_out_of_the_drum():
    tank, into = adopted(name="Strong tank", volume_l=3, strength_g_per_l=400), drum("bath_spent")

    pour(tank, into, 1)

    assert content_of_drum(into).copper.value == pytest.approx(79, abs=1)
    assert per_litre(into).value == pytest.approx(79_000, rel=0.02)


def test_plates_that_dripped_alike_are_wrong_alike_in_the_rinse():
    tank, into = bath(), drum("rinse")
    for at in range(2, 10):
        bitten(tank, at=at, ml_each=6)
    put(into, 5, at=11, source=Deposit.Source.RINSE)

    copper = content_of_drum(into).copper

    assert copper.value == pytest.approx(8 * 0.006 * MG_PER_L / 1000, rel=0.05)
    assert copper.sd / copper.value == pytest.approx(0.25, rel=0.05)


def poured_over(out_of, into, litres, at):
    put_in = DepositRequest(drum=into, kind="bath_spent", litres=Measured(litres, litres / 20, "L"))
    return operations.pour_over(out_of, into=put_in, by=signed(at))


def test_what_was_poured_to_and_fro_costs_what_its_lines_cost_and_nothing_of_it_is_lost():
    tank, one, other = bath(), drum("bath_spent"), drum("bath_spent", name="W9")
    pour(tank, one, 4)
    asked = []

    for turn in range(12):
        poured_over(*((one, other) if turn % 2 == 0 else (other, one)), 1, at=3 + turn / 100)
        if turn in (1, 11):
            with CaptureQueriesContext(connection) as queries:
                contents = contents_of_drums([one, other])
            asked.append(len(queries))
            total = sum((each.copper for each in contents.values()), Measured(0, unit="g"))
            assert total.value == pytest.approx(4 * MG_PER_L / 1000, rel=0.01)

    assert asked[0] == asked[1]


def test_a_weekly_pail_and_a_monthly_drum_are_each_replayed_once(monkeypatch):
    month, quarter = drum("bath_spent", capacity_l=200), drum("bath_spent", name="W2", capacity_l=1000)
    tank = BathFactory(name="Big tank", rim_l=400)
    known = {"volume_l": 300, "volume_sd_l": 1, "strength_g_per_l": STRENGTH_G_PER_L, "strength_sd_g_per_l": 2}
    baths.adopt(tank, Adopted(day=0, **known), lid_on=True, by=signed(0))
    for week in range(1, 9):
        pail = drum("bath_spent", name=f"P{week}", at=week)
        pour(tank, pail, 2, at=week)
        poured_over(pail, month, 2, at=week + 0.1)
        if week % 4 == 0:
            poured_over(month, quarter, 6, at=week + 0.2)
    replayed = []
    apply_line = Content.apply_line
    monkeypatch.setattr(
        Content, "apply_line", lambda self, line, *rest: (replayed.append(line), apply_line(self, line, *rest))
    )

    content = content_of_drum(quarter)

    # each pail is filled and emptied, each of its pours fills the drum, each of the drum's the next: no line twice
    assert len(replayed) == 8 + 2 * 8 + 2 * 2
    assert content.copper.value == pytest.approx(12 * MG_PER_L / 1000, rel=0.01)


def test_a_drum_poured_out_to_what_rounding_leaves_is_empty():
    """Found by seed 64 of the long histories: 0.1 + 0.1 + 0.1 - 0.3 L is no litre to divide copper by."""
    tank, into = bath(), drum("bath_spent")
    for at in (1, 2, 3):
        pour(tank, into, 0.1, at=at)
    poured_over(into, drum("bath_spent", name="W2"), 0.3, at=4)

    held = content_of_drum(into)
    assert (held.volume.value, held.copper_per_l) == (0.0, None)
