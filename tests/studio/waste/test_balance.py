"""The copper balance with the drums in it."""

import pytest

from chemistry.measured import Measured, by_scale
from studio.cathodes import balance
from studio.cathodes.period import Period
from studio.waste import in_drums, incidents, sources
from studio.waste.models import Incident
from studio.waste.operations import DepositRequest
from tests.factories import adopted, bitten, day, jug, signed
from tests.studio.cathodes.shop import bite, hung, stripped
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db


def over(first, last):
    return balance.account_of(Period(since=day(first), until=day(last)), in_drums.copper_in_drums(day(last)))


def grams(account, *names):
    return account.amount(*names).value


def test_what_goes_into_drums_is_found_there_and_the_balance_still_closes():
    bath, into = adopted(volume_l=10, strength_g_per_l=200), drum("bath_spent")
    sources.take_out(bath, jug(1), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(2))
    sources.take_out(bath, jug(1), where_to="to a friend", by=signed(3))

    account = over(1, 4)

    assert grams(account, "other drums") == pytest.approx(50.9, rel=0.01)
    assert grams(account, "taken out") == pytest.approx(50.9, rel=0.01)
    assert account.balance.unexplained.value == pytest.approx(0, abs=1e-6)


def test_drips_are_in_the_drum_once_the_tray_is_emptied():
    bath = adopted()
    into = drum("rinse")
    bitten(bath, at=2, ml_each=10)
    put(into, 4, at=3, source="rinse")
    bitten(bath, at=4, ml_each=10)

    account = over(1, 5)

    assert grams(account, "rinse in drums") == pytest.approx(grams(account, "drips"), rel=0.01)
    assert grams(over(1, 3.5), "drips") == 0


def test_of_a_spill_what_nobody_took_up_is_lost():
    bath, into = adopted(strength_g_per_l=200), drum("rags_copper")
    taken_up = DepositRequest(drum=into, kind="rags_copper", litres=Measured(0.45, 0.05, "L"))
    incidents.report(
        Incident(kind="spill", what_happened="the jug tipped"), bath=bath, litres=0.6, into=taken_up, by=signed(2)
    )

    account = over(1, 3)

    assert grams(account, "other drums") == pytest.approx(3 * grams(account, "spilled"), rel=0.01)


def test_metal_stands_under_its_drum_or_under_none():
    cathode, tin = hung(), drum("cathode_copper", vessel="lidded_metal_can")
    bite(cathode, 20, at=1)
    stripped(cathode, 10, at=2)
    bite(cathode, 20, at=3)
    weight = by_scale(12, 0.1)
    sources.strip(cathode, weight=weight, metal_into=DepositRequest(drum=tin, kind="cathode_copper"), by=signed(4))

    account = over(0.5, 5)

    assert (grams(account, "stripped"), grams(account, "metal in drums")) == (10, 12)
