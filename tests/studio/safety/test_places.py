"""Places: litres that burn against a limit, and what must not stand together."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Container, Entry, Place
from studio.hazards.classification import classify_materials
from studio.hazards.co_storage import flammable_volume, stored_materials
from studio.safety import chemical_list
from studio.safety.places import co_storage_of_place
from tests.factories import PlaceFactory, adopted, stocked
from tests.studio.waste.shop import drum
from tests.studio.waste.shop import put as fill


def put(place, amount, **material):
    jar = stocked(amount, **material)
    Container.objects.filter(pk=jar.pk).update(place=place)
    jar.place = place
    return jar


def spirit(place, amount, **facts):
    return put(place, amount, **{"dimension": "volume", "shown_unit": "mL", "storage_group": "flammable"} | facts)


def litres(place, *jars, region="eu"):
    known = classify_materials([jar.material for jar in jars], region)
    return flammable_volume(place, stored_materials(jars, known), region)


def page(client, place):
    return client.get(place.get_absolute_url()).content.decode()


@pytest.fixture
def bench(db):
    return PlaceFactory(name="Bench", kind=Place.Kind.BENCH)


@pytest.mark.parametrize(
    ("facts", "counted"),
    [
        ({}, True),
        ({"storage_group": "", "flash_point_c": 38}, True),
        ({"storage_group": "", "flash_point_c": 60}, True),
        ({"storage_group": "", "flash_point_c": 60.1}, False),
        ({"storage_group": "general"}, False),
        ({"storage_group": ""}, False),
    ],
)
def test_what_burns_is_counted_by_its_group_or_its_flash_point(bench, facts, counted):
    jar = spirit(bench, "1500 mL", **facts)

    assert litres(bench, jar).litres == (1.5 if counted else 0)


def test_what_is_weighed_counts_by_its_lightest_density(bench):
    tin = put(bench, "900 g", storage_group="flammable", density_g_per_ml=0.95, density_low_g_per_ml=0.9)

    assert litres(bench, tin).litres == 1


def test_litres_that_nobody_knows_need_info(member, bench):
    pens = put(bench, "4", name="Paint marker", dimension="count", shown_unit="piece", storage_group="flammable")

    shown = page(member, bench)

    assert [thing.name for thing in litres(bench, pens).unmeasured] == ["Paint marker"]
    assert "How much is not known, so not counted" in shown and "Paint marker" in shown


def test_what_is_weighed_and_named_after_a_substance_counts_by_its_density(bench):
    tin = put(bench, "1560 g", name="White spirit")

    # at the light end, 0.765 g/mL
    assert litres(bench, tin).litres == pytest.approx(1.56 / 0.765)


def test_the_limit_of_a_place_is_that_of_its_region(member, studio):
    cabinet = PlaceFactory(name="Cabinet", kind=Place.Kind.FLAMMABLES)
    shelf = PlaceFactory(name="Shelf")
    jars = {
        "Acetone": put(cabinet, "30 L", name="Acetone", dimension="volume", shown_unit="L"),
        "Turpentine": put(cabinet, "25 L", name="Turpentine", dimension="volume", shown_unit="L"),
        "White spirit": put(cabinet, "200 L", name="White spirit", dimension="volume", shown_unit="L"),
    }
    for place, names, region, word, litres_and_limits in [
        # 60 US gallons, 29 CFR 1910.106(d)(3)(i)
        (cabinet, ["Acetone", "White spirit"], "us", "over the limit", [(230, 227)]),
        (cabinet, ["White spirit"], "us", "within the limit", [(200, 227)]),
        # 50 L of what flashes in a warm room, 250 L of the rest: HSE under DSEAR; white spirit 38 °C, turpentine 35 °C
        (cabinet, ["Acetone"], "gb", "within the limit", [(30, 50), (0, 250)]),
        (cabinet, ["Acetone", "Turpentine"], "gb", "within the limit", [(30, 50), (25, 250)]),
        (cabinet, ["Acetone", "Turpentine", "White spirit"], "gb", "within the limit", [(30, 50), (225, 250)]),
        # neither in the EU nor elsewhere is one on record
        (cabinet, ["Acetone"], "eu", "needs info: ask the fire officer for the limit", []),
        (cabinet, ["Acetone"], "elsewhere", "needs info: ask the fire officer for the limit", []),
        (shelf, ["Acetone"], "gb", "within the limit", [(30, 38)]),
        (shelf, ["Acetone", "Turpentine"], "eu", "over the limit", [(55, 38)]),
    ]:
        found = litres(place, *(jars[name] for name in names), region=region)

        bounds = [(round(bound.litres), round(bound.limit_l)) for bound in found.bounds]
        assert (found.word, bounds) == (word, litres_and_limits), (region, names)
    spirit(cabinet, "60 L", name="Nobody knows where it flashes")
    type(studio)._base_manager.update(region="gb")
    assert "90 L of flammable liquid that flashes in a warm room, and 50 L is its limit." in page(member, cabinet)


def test_drums_and_tanks_count_among_the_litres_of_a_place(member, bench, studio):
    full, _unused = (drum("solvent_spent", name=name, vessel="steel", place=bench) for name in ("S1", "S2"))
    fill(full, litres=4)
    fill(drum("rags_solvent", name="R1", vessel="lidded_metal_can", place=bench), grams=300)
    fill(drum("rags_drying_oil", name="O1", vessel="lidded_metal_can", place=bench), grams=300)
    fill(drum("bath_spent", name="W1", place=bench), litres=4)
    adopted(name="Tank", place=bench)
    spirit(bench, "2 L", name="Spirit")

    here, _ = co_storage_of_place(bench, studio)
    listed = next(each for each in chemical_list.listed(studio) if each.place == bench)

    for flammables in (here.flammables, listed.flammables):
        assert flammables.litres == pytest.approx(6)
        # rags hold solvent that nobody measures; oiled rags are no liquid, and the bath does not burn
        assert [thing.name for thing in flammables.unmeasured] == ["drum R1"]
        assert flammables.is_over
    assert "6 L of flammable liquid, and 5 L is its limit." in page(member, bench)


def test_a_bench_over_the_default_says_so_with_its_source(member, bench):
    spirit(bench, "5200 mL")

    shown = page(member, bench)

    assert "over the limit" in shown
    assert "our own default" in shown


def test_the_studios_own_limit_goes_before_the_default(keyholder, bench):
    spirit(bench, "5200 mL")

    keyholder.post(reverse("shelf:limit", args=[bench.pk]), {"key": uuid4(), "flammables_limit_ul": "10 L"})

    bench.refresh_from_db()
    assert bench.flammables_limit_ul == 10_000_000
    assert "within the limit" in page(keyholder, bench)
    assert str(Entry.objects.latest("pk")) == "Limited flammable liquid in Bench to 10 L"


@pytest.mark.parametrize(
    ("typed", "sentence"), [("10 kg", "measures mass"), ("-1 L", "below zero"), ("lots", "not an amount")]
)
def test_a_limit_that_is_none_is_refused(keyholder, bench, typed, sentence):
    response = keyholder.post(reverse("shelf:limit", args=[bench.pk]), {"key": uuid4(), "flammables_limit_ul": typed})

    assert sentence in response.context["form"].errors["flammables_limit_ul"][0]


def test_a_member_reads_a_limit_and_does_not_set_it(member, bench):
    limit = reverse("shelf:limit", args=[bench.pk])

    assert limit not in page(member, bench)
    assert member.get(limit).status_code == 403


def test_what_must_not_stand_together_is_named_with_its_reason(member, bench):
    put(bench, "1 kg", name="Vinegar crystals", storage_group="weak acid")
    put(bench, "1 kg", name="Bleach powder", storage_group="bleach")

    shown = page(member, bench)

    assert "Must not stand together" in shown and "Chlorine gas: vinegar is acid enough." in shown
    assert "Vinegar crystals" in shown and "Bleach powder" in shown


def test_what_stands_elsewhere_does_not_clash(member, bench):
    put(bench, "1 kg", storage_group="acid")
    put(PlaceFactory(), "1 kg", storage_group="bleach")

    assert "Must not stand together" not in page(member, bench)


def test_a_material_without_a_group_needs_info(member, bench):
    put(bench, "1 kg", name="Mystery powder")

    shown = page(member, bench)

    assert "No storage group, so not looked at" in shown
    assert "within the limit, as far as is known" in shown


def test_a_full_place_asks_the_database_little(member, bench, django_assert_max_num_queries):
    for number in range(20):
        spirit(bench, "100 mL", name=f"Spirit {number}")

    with django_assert_max_num_queries(10):
        page(member, bench)
    with django_assert_max_num_queries(10):
        assert "20 containers" in member.get(reverse("shelf:places")).content.decode()


@pytest.mark.parametrize("name", ["safety:place", "shelf:limit"])
def test_strangers_learn_nothing_of_a_place(stranger, bench, name):
    assert stranger.get(reverse(name, args=[bench.pk])).status_code == 302
