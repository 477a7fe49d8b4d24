"""What a visitor of the demo finds about buying."""

import pytest
from django.utils import timezone

from inventory.models import Material
from studio.orders import costs, stock
from studio.orders.models import OrderLine, Pack, Shortage, Supplier

pytestmark = pytest.mark.django_db


def test_six_suppliers_sell_what_the_studio_uses(tallow_street):
    assert Supplier.objects.count() == 6
    assert set(Material.objects.exclude(packs=None)) == set(Material.objects.exclude(name__startswith="Sugar-lift"))
    assert Pack.objects.filter(material__bath_use="copper_sulfate_pentahydrate").count() == 3


def test_the_crystals_are_low_and_on_their_way(tallow_street):
    line = OrderLine.objects.awaited().with_names().get()

    crystals = stock.stock_of_material(line.pack.material, timezone.now())

    assert (str(line.order.entry.done_by), str(line)) == ("Tobi Reyne", f"1 × 2500 g {crystals.material}")
    assert crystals.is_low and not crystals.is_wanted


def test_deliveries_of_the_year_say_how_long_one_takes(tallow_street):
    plates = stock.stock_of_material(Material.objects.get(name__startswith="Copper plate 9 x 12"), timezone.now())

    assert plates.lead.source == "the last 7 deliveries"
    assert 8 < plates.lead.days < 14


def test_two_members_said_that_something_is_running_out(tallow_street):
    assert Shortage.objects.unanswered().count() == 2


def test_the_year_has_its_costs(tallow_street):
    year = costs.costs_of_months(min_month(), timezone.localdate().replace(day=1))

    assert costs.CostGroup("the year", year).cents > 100_000
    assert {str(cost.material) for cost in year if not cost.price} <= {"Sugar-lift solution, house-made"}


def min_month():
    return Material.objects.first().month_sums.order_by("month").first().month
