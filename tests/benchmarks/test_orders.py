"""What the pages about buying cost in a book of a million movements and 50,000 finished jars, all of one material."""

from functools import partial

import pytest
from django.test import Client, override_settings
from django.urls import reverse
from django.utils import timezone

from inventory import months
from inventory.book import Signed
from inventory.models import Container, MonthSum, Movement
from studio.orders import operations
from studio.people.roles import KEYHOLDER
from tests.benchmarks import test_book_at_scale as scale
from tests.factories import PersonFactory, WorkshopFactory, stocked
from tests.studio.orders.shop import PackFactory

pytestmark = [pytest.mark.benchmark_ratio, pytest.mark.django_db]

FEW, MANY, FINISHED = 1_000, 1_000_000, 50_000
MATERIALS = 20
FLOOR, GOAL = 1.3, 1.1


@pytest.fixture
def buyer():
    """A keyholder's browser; `person` says whose."""
    WorkshopFactory()
    client = Client()
    client.person = PersonFactory(role=KEYHOLDER)
    with override_settings(AXES_ENABLED=False):
        client.force_login(client.person.account, backend="studio.people.backend.BookBackend")
    return client


@pytest.fixture
def pack(buyer):
    """One of three packs of what is used so often; beside it 20 materials that are low, and an order on its way."""
    jar = stocked("10 kg", name="Copper sulfate crystals")
    packs = [PackFactory(material=jar.material, amount=amount) for amount in (500_000, 2_500_000, 25_000_000)]
    for number in range(MATERIALS):
        other = stocked("10 g", name=f"Material no. {number}", reorder_level=1_000_000)
        PackFactory(material=other.material, supplier=packs[number % 3].supplier)
    by = Signed(done_by=buyer.person, happened_at=timezone.now())
    operations.order(packs[0].supplier, packs={packs[0]: 2}, by=by)
    operations.mark_low(packs[1].material, by=by)
    return packs[0]


def test_buying_from_a_long_book_costs_what_it_does_from_a_short_one(buyer, pack, capsys):
    _use_often(pack, buyer.person, FEW)
    short = {name: scale._cost(act) for name, act in _acts(buyer, pack).items()}

    _finish(pack, FINISHED)
    _use_often(pack, buyer.person, MANY - FEW)
    long = {name: scale._cost(act) for name, act in _acts(buyer, pack).items()}

    with capsys.disabled():
        for name, cost in long.items():
            ratio = cost / short[name]
            print(f"\n{name}: {ratio:.2f} (floor {FLOOR}, goal {GOAL}), {1e3 * cost:.1f} ms", end="")
    for name, cost in long.items():
        assert cost / short[name] <= FLOOR, name


def _acts(buyer, pack) -> dict:
    """The same questions of both books; costs of the month that both have."""
    month = {name: f"{months.month_of(timezone.now()):%Y-%m}" for name in ("first", "last")}
    pages = {
        "the order list": (reverse("orders:orders"), {}),
        "a material to buy": (reverse("orders:material", args=[pack.material_id]), {}),
        "an order form": (reverse("orders:order", args=[pack.supplier_id]), {}),
        "a month's costs": (reverse("orders:costs"), month),
    }
    return {name: partial(buyer.get, path, asked) for name, (path, asked) in pages.items()}


def _finish(pack, number) -> None:
    """So many jars of the same material that came and were used up."""
    jar = pack.material.containers.get()
    entry = jar.movements.first().entry
    facts = {"material": jar.material, "place": jar.place, "received_on": jar.received_on}
    numbers = range(jar.pk + 1_000, jar.pk + 1_000 + number)
    Container.objects.bulk_create(Container(pk=pk, code=f"C{pk}", **facts) for pk in numbers)
    Movement.objects.bulk_create(
        Movement(entry=entry, container_id=pk, happened_at=entry.happened_at, amount=amount, kind=kind)
        for pk in numbers
        for amount, kind in ((1_000, Movement.Kind.RECEIVED), (-1_000, Movement.Kind.USED))
    )


def _use_often(pack, person, times) -> None:
    """The uses, and their months as the ledger would have added them up."""
    scale._use_often(pack.material.containers.get(on_hand__gt=0), person, times)
    MonthSum.objects.all().delete()
    MonthSum.objects.bulk_create(
        MonthSum(**key._asdict(), amount=amount, lines=lines) for key, (amount, lines) in months.worked_out().items()
    )
