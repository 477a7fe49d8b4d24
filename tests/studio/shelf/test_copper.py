"""Sheet copper: plates cut from it, the offcut that is left, and what the scale says."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory import integrity
from inventory.models import Container, Entry
from tests.factories import stocked


@pytest.fixture
def copper(db):
    return stocked("30x40 cm", name="Sheet copper", dimension="area", shown_unit="cm2", thickness_um=1291)


@pytest.mark.parametrize("name", ["cut", "weigh"])
def test_a_page_about_sheet_asks_the_database_little(member, copper, django_assert_max_num_queries, name):
    with django_assert_max_num_queries(10):
        member.get(reverse(f"shelf:{name}", args=[copper.code]))


def cut(client, jar, **typed):
    asked = {"key": uuid4(), "plates": "1", "place": jar.place_id} | typed
    return client.post(reverse("shelf:cut", args=[jar.code]), asked, follow=True)


def refused(response):
    return {name: " ".join(errors) for name, errors in response.context["form"].errors.items()}


def test_a_cut_leaves_the_rest_and_an_offcut_of_its_own(member, copper):
    response = cut(member, copper, plate="15x20 cm", plates="2", offcut="10x30 cm")

    offcut = Container.objects.latest("pk")
    copper.refresh_from_db()
    assert (copper.on_hand, offcut.on_hand) == (30_000, 30_000)
    assert str(Entry.objects.latest("pk")) == f"Cut 2 plates of 15x20 cm from {copper}"
    assert "should weigh 347 g" in response.content.decode()
    assert list(integrity.integrity_errors()) == []


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"plate": "50x60 cm"}, "plate", "Only 1200 cm² in"),
        ({"plate": "30x30 cm", "offcut": "20x40 cm"}, "offcut", "Only 300 cm² in"),
        ({"plate": "30 cm"}, "plate", "not an area of two sides"),
        ({"plate": "2x2 kg"}, "plate", "measures mass"),
        ({"plate": "15x20 cm", "plates": "0"}, "plates", "greater than or equal to 1"),
        ({"plate": "15x20 cm", "offcut": "some"}, "offcut", "not an amount"),
    ],
)
def test_a_cut_that_cannot_be_writes_nothing(member, copper, typed, field, sentence):
    response = cut(member, copper, **typed)

    assert sentence in refused(response)[field]
    assert Entry.objects.count() == 1


@pytest.mark.parametrize(
    ("weighed", "said"),
    [
        ("1390", "The scale agrees: 1388 g expected"),
        ("1750", "It weighs like SWG 16 (1.63 mm), and the book has B&amp;S 16 (1.29 mm)"),
        ("600", "measure an edge with a calliper"),
        ("heavy", "is not one number"),
    ],
)
def test_the_scale_confirms_the_sheet_or_not(member, copper, weighed, said):
    assert said in member.get(reverse("shelf:weigh", args=[copper.code]), {"weighed_g": weighed}).content.decode()


@pytest.mark.parametrize("name", ["cut", "weigh"])
def test_a_jar_is_no_sheet(member, name):
    assert member.get(reverse(f"shelf:{name}", args=[stocked("500 g").code])).status_code == 404


@pytest.mark.parametrize("name", ["cut", "weigh"])
def test_strangers_cut_nothing(stranger, copper, name):
    assert stranger.get(reverse(f"shelf:{name}", args=[copper.code])).status_code == 302
