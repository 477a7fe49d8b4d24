"""A drum that is weighed betters what was told by the jug: its litres, its copper, and what arose each month."""

from datetime import date

import pytest

from chemistry.measured import Measured
from inventory import book
from studio.waste import advice, content, months, operations, sources
from studio.waste.disposals import Taken
from studio.waste.models import DisposalItem, LocalAdvice
from studio.waste.operations import DepositRequest
from studio.waste.record import Record
from tests.factories import WorkshopFactory, adopted, day, jug, signed
from tests.studio.waste.shop import drum, handed_over, put, said

pytestmark = pytest.mark.django_db

G_PER_L, COPPER_G_PER_L = 1150, 61.1  # of a bath of 240 g/L: handbook's density, and a quarter of its salt
JUGS = (2.0, 2.0)
TRUE_L = 4.6  # what two jugs of 2 L held that somebody filled too high
GROSS_G = 1000 + TRUE_L * G_PER_L


@pytest.fixture
def filled():
    into, bath = drum("bath_spent", tare_g=1000), adopted(volume_l=12, strength_g_per_l=240)
    for at, litres in enumerate(JUGS, start=1):
        sources.take_out(bath, jug(litres), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(at))
    return into


def weighed(vessel, gross_g=GROSS_G, at=5):
    return operations.weigh(vessel, gross_g=gross_g, half_width_g=20, by=signed(at))


def arose(first_day=40):
    WorkshopFactory.build()
    said(LocalAdvice.Kind.HAZARDOUS, stream="bath_spent")
    return {month.first: month.known_kg for month in months.months(day(first_day), advice.told(date(2026, 4, 11)))}


def test_a_scale_betters_litres_and_copper_of_what_was_poured_by_the_jug(filled):
    before = content.content_of_drum(filled)

    weighed(filled)

    after = content.content_of_drum(filled)
    assert (before.volume.value, after.volume.value) == pytest.approx((4.0, TRUE_L), rel=0.01)
    assert after.copper.value == pytest.approx(TRUE_L * COPPER_G_PER_L, rel=0.02)
    assert after.copper.sd < 0.4 * before.copper.sd
    assert after.copper_per_l.value == pytest.approx(before.copper_per_l.value, rel=0.01)


@pytest.mark.parametrize(
    ("what", "bettered"), [("too heavy", False), ("a vessel nobody weighed", False), ("struck", False), ("true", True)]
)
def test_only_a_weight_that_can_be_betters_the_copper(filled, what, bettered):
    if what == "a vessel nobody weighed":
        filled = drum("bath_spent", name="W2")
        sources.take_out(
            adopted(name="Other tank"), jug(4), into=DepositRequest(drum=filled, kind="bath_spent"), by=signed(1)
        )
    before = content.content_of_drum(filled).copper

    entry = weighed(filled, gross_g=15_000 if what == "too heavy" else GROSS_G)
    if what == "struck":
        book.strike(entry, by=signed(6), reason="another drum")

    after = content.content_of_drum(filled).copper
    assert (after.sd < 0.9 * before.sd) == bettered


def test_what_nobody_knows_stays_unknown_after_a_weighing(filled):
    put(filled, 1, at=3, kind="bath_spent")

    weighed(filled)

    assert content.content_of_drum(filled).copper is None


@pytest.mark.parametrize("way", ["less the empty vessel", "before and after"])
def test_a_weighing_at_handover_betters_the_copper_of_the_record_and_the_months(filled, way):
    book_copper = content.content_of_drum(filled).copper
    poured = arose()[date(2026, 3, 1)]
    after_g = {"after_g": 1000.0} if way == "before and after" else {}

    disposal = handed_over(taken=[Taken(drum=filled, before_g=GROSS_G, half_width_g=20, **after_g)])

    item = DisposalItem.objects.get()
    assert item.copper.value == pytest.approx(TRUE_L * COPPER_G_PER_L, rel=0.02)
    assert item.copper.sd < 0.4 * book_copper.sd
    # the book says the same of that day, so nothing is told to have changed
    assert Record(disposal).differences == []
    low, high = arose()[date(2026, 3, 1)]
    assert low < TRUE_L * G_PER_L / 1000 < high
    assert high - low < 0.2 * (poured[1] - poured[0])


def test_each_month_gets_its_share_of_a_weighing(filled):
    bath = adopted(name="Other tank")
    sources.take_out(bath, jug(4), into=DepositRequest(drum=filled, kind="bath_spent"), by=signed(35))

    weighed(filled, gross_g=1000 + 1.15 * 4.6 * 2 * 1000, at=38)

    kg = {first: (low + high) / 2 for first, (low, high) in arose().items()}
    assert kg[date(2026, 3, 1)] + kg[date(2026, 4, 1)] == pytest.approx(1.15 * 9.2, rel=0.01)
    assert 4.6 < kg[date(2026, 3, 1)] < 5.4


def test_a_drum_that_was_poured_over_is_left_as_its_deposits_tell(filled):
    other = drum("bath_spent", name="W2", tare_g=1000)
    put_over = DepositRequest(drum=other, kind="bath_spent", litres=Measured(1.0, 0.05, "L"))
    operations.pour_over(filled, into=put_over, by=signed(3))
    before = arose()

    weighed(filled, gross_g=GROSS_G - 1150)

    assert arose() == before
