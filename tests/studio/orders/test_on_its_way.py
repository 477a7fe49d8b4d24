import pytest
from django.urls import reverse

from studio.orders import operations
from tests.factories import PersonFactory, PlaceFactory, signed, stocked
from tests.studio.orders.shop import PackFactory, again, ordered

ASKED = "Tobi Reyne ordered 2 × 2500 g on 4 March: is this it?"


@pytest.fixture
def line():
    jar = stocked("100 g", name="Copper sulfate crystals", reorder_level=500_000)
    return ordered(2, at=2, pack=PackFactory(material=jar.material), done_by=PersonFactory(name="Tobi Reyne"))


def shelf(client, page, line) -> str:
    return client.get(reverse(f"shelf:{page}", args=[line.pack.material_id])).content.decode()


@pytest.mark.parametrize("page", ["receive", "material"])
def test_the_shelf_asks_whether_a_pack_is_the_ordered_one(member, today, line, page):
    today(3)

    shown = shelf(member, page, line)

    assert ASKED in shown
    assert reverse("orders:receive", args=[line.pk]) in shown


def test_a_part_that_came_is_said(member, today, line):
    today(5)
    operations.receive(line, packs=1, place=PlaceFactory(), by=signed(4))

    assert "ordered 2 × 2500 g on 4 March, 1 came: is this it?" in shelf(member, "receive", line)


def test_the_shelf_asks_no_more_once_all_came(member, today, line):
    today(5)
    operations.receive(line, packs=2, place=PlaceFactory(), by=signed(4))

    assert again(line).rest == 0
    assert "is this it?" not in shelf(member, "receive", line)


def test_the_bench_says_that_what_is_low_is_ordered_already(member, today, line):
    today(3)

    shown = member.get(reverse("bench:needs")).content.decode()

    assert "; already ordered by Tobi Reyne on 4 March." in shown
