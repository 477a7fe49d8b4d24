"""
Every salt that a studio may have, through every page that takes salt: each takes up its own water.

The balance is `made_of` beside the tests of `chemistry.bath`, in moles and written apart from the code.
"""

import pytest
from django.urls import reverse

from inventory.models import Container, Material
from studio.baths import estimate, operations
from studio.baths.salt import Portion, crystals_added
from tests.chemistry.bath.test_mass_balance import WATER_G_PER_L, made_of
from tests.factories import BathFactory, PlaceFactory, adopted, signed, stocked
from tests.studio.baths.test_planner import mixing, topping_up, url, wanted, weighed, words

pytestmark = pytest.mark.django_db

Use = Material.BathUse
# what is in the jar: its hydrate, its assay, and its waters of crystallisation
SALTS = {
    "blue crystals": (Use.BLUE_CRYSTALS, 1.0, 5),
    "pale powder": (Use.PALE_POWDER, 1.0, 0),
    "monohydrate": (Use.MONOHYDRATE, 1.0, 1),
    "impure powder": (Use.PALE_POWDER, 0.8, 0),
    "damp crystals": (Use.BLUE_CRYSTALS, 0.95, 5),
}


def jar_of(name, amount="4 kg"):
    use, purity, waters = SALTS[name]
    return stocked(amount, bath_use=use, purity=purity), purity, waters


def stands_at(bath):
    state = estimate.at_moment(bath)
    return state.strength_g_per_l, state.volume_l


@pytest.mark.parametrize("name", SALTS)
def test_a_mix_takes_the_water_of_its_salt(member, name):
    jar, purity, waters = jar_of(name)
    bath = BathFactory()
    made = made_of(WATER_G_PER_L, (160 * purity, waters))

    member.post(url("mix", bath), mixing((jar, "160"), water="1"))

    assert stands_at(bath) == pytest.approx(made, rel=0.003)


def test_the_mix_that_read_weak_and_full_reads_as_it_is(member):
    """160 g of powder into 1.00 L read 229 ± 13 g/L and 1.09 L; a balance says 249 g/L and 1.004 L."""
    jar, _, _ = jar_of("pale powder")
    bath = BathFactory()

    member.post(url("mix", bath), mixing((jar, "160"), water="1"))

    strength, volume = stands_at(bath)
    assert strength == pytest.approx(249, abs=1)
    assert volume == pytest.approx(1.004, abs=0.002)


@pytest.mark.parametrize("name", SALTS)
def test_a_top_up_takes_the_water_of_its_salt(member, name):
    jar, purity, waters = jar_of(name)
    bath = adopted(volume_l=8, strength_g_per_l=230)
    before = estimate.at_moment(bath)
    made = made_of(before.water_g + 0.5 * WATER_G_PER_L, (before.salt_g, 5), (100 * purity, waters))

    member.post(url("top_up", bath), topping_up("0.5", salt_anyway="on", **weighed(jar, "100")))

    assert stands_at(bath) == pytest.approx(made, rel=0.003)


@pytest.mark.parametrize("name", SALTS)
def test_what_the_planner_offers_comes_to_what_was_asked_for(member, name):
    jar, _, _ = jar_of(name)
    bath = adopted(volume_l=10, strength_g_per_l=200)

    form = wanted(member, bath, level_0="12", way="both", strength="240").context["form"]
    water, grams = form["water_l"].value()[0], form[f"salt_{jar.pk}"].value()[0]
    member.post(url("top_up", bath), topping_up(water, salt_anyway="on", **weighed(jar, grams)))

    assert stands_at(bath) == pytest.approx((240, 12), rel=0.004)


@pytest.mark.parametrize("name", SALTS)
def test_what_the_recipe_offers_comes_to_what_was_asked_for(member, name):
    jar, _, _ = jar_of(name)
    bath = BathFactory()

    form = member.get(url("mix", bath), {"volume_0": "8", "volume_1": "L", "strength": "230"}).context["form"]
    water, grams = form["water_l"].value()[0], form[f"salt_{jar.pk}"].value()[0]
    member.post(url("mix", bath), mixing((jar, grams), water=water))

    assert stands_at(bath) == pytest.approx((230, 8), rel=0.004)


def test_powder_and_crystals_out_of_two_jars_in_one_mix():
    jars = [jar_of("pale powder"), jar_of("damp crystals"), jar_of("monohydrate")]
    bath = BathFactory()
    made = made_of(3 * WATER_G_PER_L, *((200 * purity, waters) for _, purity, waters in jars))

    operations.mix(bath, water_l=3, salt=[Portion(jar, 200_000) for jar, _, _ in jars], by=signed(1))

    assert stands_at(bath) == pytest.approx(made, rel=0.003)


def test_one_salt_alone_keeps_its_own_waters_to_the_digit():
    for name, (_, _, waters) in SALTS.items():
        jar, _, _ = jar_of(name)

        assert crystals_added([Portion(jar, 100_000), Portion(jar, 7)], by_cups=False).waters == waters, name


def test_a_lot_carries_its_own_assay_from_receipt_to_bath(member):
    material = stocked("1 kg", powder=True).material
    typed = {"amount": "2 kg", "place": PlaceFactory().pk, "looks": Use.PALE_POWDER, "purity_percent": "80"}

    member.post(reverse("shelf:receive", args=[material.pk]), typed | {"key": "3f2c8a1e-0c5b-4a7d-9a55-0e2f6b7c8d90"})

    lot = Container.objects.latest("pk")
    assert (material.purity, lot.assay) == (1.0, 0.8)
    assert "80 %" in words(member.get(lot.get_absolute_url()))
    assert Portion(lot, 1_000_000).salt_g == pytest.approx(0.8 * 1564.4, abs=0.2)


def test_the_page_says_what_powder_takes_up_and_that_it_heats_up(member):
    jar, _, _ = jar_of("pale powder")

    shown = words(member.post(url("mix", BathFactory()), mixing((jar, "500"), water="4") | {"work_out": "1"}))

    assert "500 g of pale powder counts as 782 g of blue crystals and takes up 282 mL of the water" in shown
    assert "powder into water, a little at a time" in shown
