"""What is struck of drums, and what must be struck before it."""

import pytest

from chemistry.measured import by_scale
from inventory.book import strike
from inventory.refusals import Refused
from studio.waste import content, operations, sources
from studio.waste.models import Deposit
from studio.waste.operations import DepositRequest
from tests.factories import adopted, jug, signed, stocked
from tests.studio.cathodes.shop import bite, hung
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db


def struck(entry, at=9):
    return strike(entry, by=signed(at), reason="a slip of the pen")


@pytest.mark.parametrize(
    "write",
    [
        lambda into: put(into, 4, at=1),
        lambda into: operations.look_over(into, found="fine", by=signed(1)),
        lambda into: operations.weigh(into, gross_g=5000, half_width_g=50, by=signed(1)),
    ],
)
def test_a_drum_is_struck_only_after_what_was_done_to_it(write):
    into = drum()
    later = write(into)

    with pytest.raises(Refused, match="Later lines rest on this one"):
        struck(into.entry)
    struck(later)

    struck(into.entry)
    assert into.entry.drums.standing().count() == 0


def test_nothing_goes_into_a_drum_that_was_struck():
    into = drum()
    struck(into.entry)

    with pytest.raises(Refused, match="W1 was struck out of the book: a slip of the pen"):
        put(into, 1)


def test_a_strip_goes_with_its_metal_in_one_strike():
    cathode, tin = hung(), drum("cathode_copper", vessel="lidded_metal_can")
    bite(cathode, 20, at=1)
    weight = by_scale(20, 0.1)
    entry = sources.strip(
        cathode, weight=weight, metal_into=DepositRequest(drum=tin, kind="cathode_copper"), by=signed(2)
    )

    struck(entry)

    assert content.content_of_drum(tin).copper is None
    assert not cathode.strips.standing().exists()


def test_what_left_the_shelf_for_a_drum_comes_back():
    tin = stocked("1 L", dimension="volume", shown_unit="L", storage_group="flammable")
    into = drum("solvent_spent", vessel="safety_can")
    entry = sources.discard(tin, amount=400_000, into=DepositRequest(drum=into, kind="solvent_spent"), by=signed(1))

    struck(entry)

    tin.refresh_from_db()
    assert tin.on_hand == 1_000_000
    assert not Deposit.objects.standing().exists()


def test_a_struck_test_leaves_what_the_deposits_add_up_to():
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")
    sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))
    by_deposits = content.content_of_drum(into).copper.value
    result = operations.TestResult(quantity="cu_mg_per_l", low=10_000, high=10_000, how="strip")
    entry = operations.record_test(into, result=result, by=signed(2))
    assert content.content_of_drum(into).copper.value == pytest.approx(20)

    struck(entry)

    assert content.content_of_drum(into).copper.value == pytest.approx(by_deposits)


def test_nothing_is_tested_that_is_not_there():
    result = operations.TestResult(quantity="ph", low=4, high=4, how="meter")

    with pytest.raises(Refused, match="There was nothing in W1 then"):
        operations.record_test(drum(), result=result, by=signed(2))


def test_the_drum_that_was_poured_from_gets_back_what_a_strike_returns():
    one, other = drum(name="W1"), drum(name="W2")
    put(one, 6, at=1)
    entry = operations.pour_over(
        one, into=DepositRequest(drum=other, kind="rinse", litres=operations.sums.poured(2)), by=signed(2)
    )

    struck(entry)

    assert content.content_of_drum(one).volume.value == pytest.approx(6)
    assert content.content_of_drum(other).volume is None
