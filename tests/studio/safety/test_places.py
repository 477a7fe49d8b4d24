"""Places: litres that burn against a limit, and what must not stand together."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Container, Entry, Place
from studio.hazards.classification import classify_materials
from studio.hazards.co_storage import flammable_volume
from tests.factories import PlaceFactory, stocked


def put(place, amount, **material):
    jar = stocked(amount, **material)
    Container.objects.filter(pk=jar.pk).update(place=place)
    jar.place = place
    return jar


def spirit(place, amount, **facts):
    return put(place, amount, **{"dimension": "volume", "shown_unit": "mL", "storage_group": "flammable"} | facts)


def litres(place, *jars):
    return flammable_volume(place, jars, classify_materials([jar.material for jar in jars], "eu"))


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

    assert litres(bench, pens).unmeasured == [pens]
    assert "Litres not known, so not counted" in shown and "Paint marker" in shown


def test_a_bench_over_the_default_says_so_with_its_source(member, bench):
    spirit(bench, "5200 mL")

    shown = page(member, bench)

    assert "over the limit" in shown
    assert "our own default, the local fire code decides" in shown


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
        assert "20 standing" in member.get(reverse("shelf:places")).content.decode()


@pytest.mark.parametrize("name", ["safety:place", "shelf:limit"])
def test_strangers_learn_nothing_of_a_place(stranger, bench, name):
    assert stranger.get(reverse(name, args=[bench.pk])).status_code == 302
