"""Ordering never stops: each way in which something is missing or comes otherwise, and how it goes on."""

from uuid import uuid4

import pytest
from django.urls import reverse

from inventory.models import Container
from studio.orders.models import Order, OrderLine, Pack, Supplier
from tests.factories import MaterialFactory, PlaceFactory
from tests.studio.orders.shop import PackFactory, SupplierFactory, again
from tests.studio.orders.test_pages import page, posted, refused, url

pytestmark = pytest.mark.django_db


def ordered_by(client, **packs):
    """An order that is written by its page."""
    seller = Supplier.objects.get(name=packs.pop("of"))
    answer = posted(client, url("order", seller.pk), **packs)
    assert answer.status_code == 302, refused(answer)
    return Order.objects.latest("pk")


def no_supplier(client):
    assert url("suppliers") in page(client, url("orders"))
    posted(client, url("new_supplier"), name="Oxbow")
    no_pack(client)


def no_pack(client):
    seller = Supplier.objects.filter(name="Oxbow").first() or SupplierFactory(name="Oxbow")
    assert url("new_pack", seller.pk) in page(client, url("order", seller.pk))
    posted(client, url("new_pack", seller.pk), material=MaterialFactory(name="Rags").pk, amount="2 kg")
    ordered_by(client, of="Oxbow", **{f"packs_{Pack.objects.get().pk}": "1"})


def no_price(client):
    pack = PackFactory(supplier__name="Oxbow", price_cents=None)
    order = ordered_by(client, of="Oxbow", **{f"packs_{pack.pk}": "2"})
    assert "price missing" in page(client, order.get_absolute_url())


def another_currency(client):
    seller, material = SupplierFactory(name="Oxbow"), MaterialFactory(name="Rags")
    typed = {"material": material.pk, "amount": "2 kg", "code": "R-2"}
    answer = posted(client, url("new_pack", seller.pk), **typed, price_cents="$12")
    assert "another currency" in refused(answer)["price_cents"]
    form = answer.context["form"]
    assert (form["price_cents"].value(), form["code"].value()) == ("$12", "R-2")
    posted(client, url("new_pack", seller.pk), **typed, note="12 dollars")
    ordered_by(client, of="Oxbow", **{f"packs_{Pack.objects.get().pk}": "1"})


def an_order(client):
    pack = PackFactory(supplier__name="Oxbow", material__name="Ink")
    order = ordered_by(client, of="Oxbow", **{f"packs_{pack.pk}": "2"})
    [line] = order.lines.all()
    return order, line


def came(client, order, line, packs, **more):
    typed = {f"line{line.pk}-packs": packs, f"line{line.pk}-place": PlaceFactory().pk, "key": uuid4()}
    return posted(client, url("delivery", order.pk), **typed, **more)


def a_part_comes(client):
    order, line = an_order(client)
    came(client, order, line, "1")
    assert (again(line).rest, "part came" in page(client, order.get_absolute_url())) == (1, True)
    came(client, order, line, "1")
    assert (again(line).rest, "all came" in page(client, order.get_absolute_url())) == (0, True)


def more_comes_than_was_ordered(client):
    order, line = an_order(client)
    answer = came(client, order, line, "3")
    shown = answer.content.decode()
    assert "2 of 2 still to come" in shown and not Container.objects.exists()
    receive = reverse("shelf:receive", args=[line.pack.material_id])
    assert f'name="leave" value="{receive}"' in shown
    on_the_way = came(client, order, line, "2", leave=receive).headers["Location"]
    back = posted(client, on_the_way, amount_0="2500", amount_1="g", place=PlaceFactory().pk).headers["Location"]
    assert back == url("delivery", order.pk)
    came(client, order, line, "2")
    assert Container.objects.count() == 3


def something_comes_that_was_never_ordered(client):
    order, line = an_order(client)
    assert f'name="leave" value="{reverse("shelf:receive")}"' in page(client, url("delivery", order.pk))
    other = MaterialFactory(name="Sample")
    posted(client, reverse("shelf:receive", args=[other.pk]), amount_0="50", amount_1="g", place=PlaceFactory().pk)
    assert (Container.objects.get().material, again(line).rest) == (other, 2)


WAYS = [
    no_supplier,
    no_pack,
    no_price,
    another_currency,
    a_part_comes,
    more_comes_than_was_ordered,
    something_comes_that_was_never_ordered,
]


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.__name__.replace("_", " "))
def test_ordering_goes_on(keyholder, way):
    way(keyholder)

    assert OrderLine.objects.exists()
