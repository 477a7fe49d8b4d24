"""Deposits in one act with what they come from."""

import pytest

from chemistry.drum import weighed
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths import operations as baths
from studio.baths.models import BathEvent
from studio.book.operations import strike
from studio.cathodes.operations import Weight
from studio.waste import content, sources
from studio.waste.operations import Put
from tests.factories import adopted, bitten, signed, stocked
from tests.studio.cathodes.shop import bite, hung
from tests.studio.waste.shop import drum, put

pytestmark = pytest.mark.django_db

COPPER_PER_BLUE = 0.2545


def test_what_is_taken_out_of_a_bath_carries_its_copper_into_the_drum():
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")

    entry = sources.take_out(bath, litres=2, into=Put(drum=into, kind="bath_spent"), by=signed(1))

    assert estimate.at_moment(bath).volume_l == pytest.approx(10, abs=0.01)
    now = content.of_one(into)
    assert now.copper.value == pytest.approx(2 * 240 * COPPER_PER_BLUE, rel=1e-3)
    assert now.copper.half_width > 0.1 * now.copper.value
    assert now.copper_per_l.value == pytest.approx(1000 * 240 * COPPER_PER_BLUE, rel=1e-3)
    assert now.mass.value == pytest.approx(2 * 1149, rel=2e-3)
    assert entry.subject.endswith("2 L out, into W1")


def test_the_copper_of_a_drum_follows_its_bath():
    bath, into = adopted(strength_g_per_l=240), drum("bath_spent")
    sources.take_out(bath, litres=2, into=Put(drum=into, kind="bath_spent"), by=signed(3))

    baths.top_up(bath, water_l=0.9, by=signed(2), weak_anyway=True)

    assert content.of_one(into).copper.value == pytest.approx(2 * 223.3 * COPPER_PER_BLUE, rel=5e-3)


def test_what_a_drum_refuses_leaves_the_bath_as_it_was():
    bath, into = adopted(), drum("bath_spent", capacity_l=1)

    with pytest.raises(Refused, match="takes 0.9 L more"):
        sources.take_out(bath, litres=2, into=Put(drum=into, kind="bath_spent"), by=signed(1))

    assert not BathEvent.objects.filter(kind=BathEvent.Kind.REMOVED).exists()
    assert estimate.at_moment(bath).volume_l == pytest.approx(12)


def test_the_towel_of_a_straining_brings_its_bath_and_its_powder():
    bath, into = adopted(strength_g_per_l=240), drum("rags_copper", vessel="lined_pail")
    towel = Put(drum=into, kind="rags_copper", mass_g=weighed(40))

    sources.strain(bath, litres_lost=0.05, crystals_g=0, into=towel, by=signed(1))

    copper = content.of_one(into).copper
    assert copper.value == pytest.approx(0.05 * 240 * COPPER_PER_BLUE + 12, rel=1e-2)
    assert copper.half_width > 12


def test_a_rinse_brings_what_dripped_off_plates_since_the_one_before_it():
    bath, into = adopted(strength_g_per_l=240), drum("rinse")
    bitten(bath, at=1, ml_each=8)
    put(into, 4, at=2, source="rinse")
    bitten(bath, at=3, ml_each=8)
    baths.drips(bath, plates=2, ml_each=8, by=signed(4))
    put(into, 4, at=5, source="rinse")

    now = content.of_one(into)

    first, second = now.copper_parts
    assert first.copper_g.value == pytest.approx(0.008 * 240 * COPPER_PER_BLUE, rel=1e-2)
    assert second.copper_g.value == pytest.approx(3 * first.copper_g.value, rel=1e-2)
    assert now.copper.sd == pytest.approx(first.copper_g.sd + second.copper_g.sd)  # one studio drips alike


def test_a_rinse_written_late_takes_its_share_from_the_one_after_it():
    bath, into = adopted(), drum("rinse")
    bitten(bath, at=1)
    bitten(bath, at=3)
    put(into, 4, at=5, source="rinse")
    whole = content.of_one(into).copper.value

    put(into, 4, at=2, source="rinse")

    now = content.of_one(into)
    assert now.copper.value == pytest.approx(whole)
    assert [part.copper_g.value for part in now.copper_parts] == pytest.approx([whole / 2, whole / 2], rel=0.05)


def test_each_strip_goes_into_the_drum_for_metal_and_its_powder_into_another():
    cathode = hung()
    bite(cathode, 20, at=1)
    metal, powder = drum("cathode_copper", name="Tin"), drum("cathode_powder", name="Jar")

    sources.strip(
        cathode,
        weight=Weight(mass_g=20, half_width_g=0.1),
        powder_g=5,
        metal_into=Put(drum=metal, kind="cathode_copper"),
        powder_into=Put(drum=powder, kind="cathode_powder"),
        by=signed(2),
    )

    assert content.of_one(metal).copper.value == 20
    assert content.of_one(metal).mass.value == 20
    assert content.of_one(powder).copper.value == pytest.approx(3)


def test_powder_is_never_put_to_the_metal():
    cathode = hung()
    bite(cathode, 20, at=1)
    metal = drum("cathode_copper", name="Tin")

    with pytest.raises(Refused, match="Pieces are scrap metal, loose powder is not"):
        sources.strip(
            cathode,
            weight=Weight(mass_g=20, half_width_g=0.1),
            powder_g=5,
            powder_into=Put(drum=metal, kind="cathode_powder"),
            by=signed(2),
        )


def test_what_is_past_its_date_leaves_the_shelf_for_the_drum():
    tin, into = stocked("1 L", dimension="volume", shown_unit="mL"), drum("solvent_spent", vessel="safety_can")

    entry = sources.discard(tin, amount=400_000, into=Put(drum=into, kind="solvent_spent"), by=signed(1))

    tin.refresh_from_db()
    assert tin.on_hand == 600_000
    assert content.of_one(into).volume.value == pytest.approx(0.4)
    assert [deposit.container for deposit in entry.deposits.all()] == [tin]


def test_a_struck_line_gives_back_what_it_took_from_everybody():
    bath, into = adopted(), drum("bath_spent")
    entry = sources.take_out(bath, litres=2, into=Put(drum=into, kind="bath_spent"), by=signed(1))

    strike(entry, by=signed(2), reason="it was water")

    assert content.of_one(into).deposits == []
    assert estimate.at_moment(bath).volume_l == pytest.approx(12)
