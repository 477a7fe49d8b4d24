"""What comes out of a bath that the book knows is told by that bath, and never as if it were pure."""

import pytest

from chemistry.bath import Adopted
from chemistry.waste.evaluation import APPLIES
from studio.baths import operations as baths
from studio.waste import content, sources
from studio.waste.flags import flags_of_drum
from studio.waste.hazards import classify_drum
from studio.waste.operations import DepositRequest
from tests.factories import BathFactory, WorkshopFactory, adopted, day, jug, signed
from tests.studio.waste.shop import drum, put, weighed

pytestmark = pytest.mark.django_db


def of_acid(acid_g_per_l, name="Tank 9"):
    tank = BathFactory(name=name)
    event = Adopted(
        day=0,
        volume_l=12,
        volume_sd_l=0.1,
        strength_g_per_l=240,
        strength_sd_g_per_l=5,
        acid_g_per_l=acid_g_per_l,
        acid_sd_g_per_l=2 if acid_g_per_l else 0,
    )
    baths.adopt(tank, event, lid_on=True, by=signed(0))
    return tank


def strained(bath, into, at=2):
    request = DepositRequest(drum=into, kind=into.kind, mass_g=weighed(500))
    sources.strain(bath, litres_lost=0.2, crystals_g=0, by=signed(at), into=request)


def found(into, region="eu"):
    return classify_drum(content.content_of_drum(into, day(20)), region)


@pytest.mark.parametrize("kind", ["bath_mud", "sludge"])
def test_mud_strained_out_of_a_known_bath_is_its_copper_salts_and_water(kind):
    bath, into = adopted(name="Tank 1"), drum(kind)
    strained(bath, into)

    told = found(into)

    assert not told.has_unknown_part and not any("other 100 %" in words for words in told.needs_info)
    # as its salts are, and no purer than anybody knows
    assert {"H318", "H302"} <= set(told.codes)
    of_it = "how much of it is copper, copper salts, water out of Tank 1"
    assert any(words.startswith(of_it) for words in told.needs_info)


@pytest.mark.parametrize("kind", ["bath_mud", "sludge", "cathode_powder"])
def test_mud_of_which_nobody_wrote_where_it_came_from_may_be_anything(kind):
    into = drum(kind)
    put(into, grams=500)

    assert any("other 100 %" in words for words in found(into).needs_info)


def test_one_lot_from_nowhere_makes_all_of_it_unknown():
    into = drum("bath_mud")
    strained(adopted(name="Tank 1"), into)
    put(into, grams=10, at=3)

    assert any("other 100 %" in words for words in found(into).needs_info)


@pytest.mark.parametrize("acid_g_per_l", [20, 50, 70])
def test_a_bath_with_acid_is_told_by_its_acid_in_a_drum(acid_g_per_l):
    into, mud = drum("bath_spent"), drum("bath_mud", name="M1")
    bath = of_acid(acid_g_per_l)
    sources.take_out(bath, jug(3), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))
    strained(bath, mud)
    held = content.content_of_drum(into, day(20))
    flags = flags_of_drum(held, WorkshopFactory.build(region="eu"), day(20)).flags

    assert {each.rule_id for each in flags if each.state == APPLIES} >= {"eu.hp8.ph"}
    for vessel in (into, mud):
        told = found(vessel)
        assert "H314" in told.codes and not told.has_unknown_part


@pytest.mark.parametrize("acid_g_per_l", [0, None])
def test_a_bath_without_acid_is_told_by_its_strength(acid_g_per_l):
    into = drum("bath_spent")
    sources.take_out(of_acid(acid_g_per_l), jug(3), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))

    assert content.content_of_drum(into, day(20)).is_copper_solution and not found(into).has_unknown_part
