"""What the book refuses it refuses with the way on: a page that helps, which opens."""

from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.bath import Removed
from chemistry.waste.drum import poured
from inventory import book
from inventory.models import Entry
from inventory.refusals import Refused
from studio.baths import operations as baths
from studio.baths import salt
from studio.baths.salt import Portion
from studio.bites import operations as bites
from studio.bites import plates
from studio.bites.operations import Setting
from studio.cathodes import operations as cathodes
from studio.cathodes.models import Cathode
from studio.orders import operations as orders
from studio.shelf import operations as shelf
from studio.waste import models as waste
from studio.waste import operations as drums
from studio.waste.operations import DepositRequest
from studio.workshop.models import Workshop
from tests.factories import BathFactory, PlaceFactory, adopted, plate, signed, started, stocked
from tests.studio.cathodes.shop import hung, sheet
from tests.studio.waste.shop import drum, handed_over, put

pytestmark = pytest.mark.django_db


def out_of_a_cathode():
    cathode = hung()
    cathodes.take_out(cathode, by=signed(1))
    cathodes.take_out(cathode, by=signed(2))


def away():
    sent = plate()
    plates.send([sent], partner=PlaceFactory(kind="away"), by=signed(1))
    bites.start(adopted(), setting=Setting(plate=sent), by=signed(2))


def twice_in():
    bath, held = adopted(), plate()
    started(bath, at=1, plate=held)
    bites.start(adopted(), setting=Setting(plate=held), by=signed(2))


def full(litres=19):
    vessel = drum()
    put(vessel, 18)
    put(vessel, litres, at=2)


def gone():
    vessel = drum()
    put(vessel, 3)
    handed_over(vessel)
    put(vessel, 1, at=8)


def striking():
    vessel = drum()
    put(vessel, 3)
    book.strike(Entry.objects.get(drums=vessel), by=signed(3), reason="wrong")


def lighter_than_empty():
    drums.weigh(drum(tare_g=2000), gross_g=500, half_width_g=10, by=signed(1))


def empty_drum_tested():
    result = waste.TestResult(quantity="ph", low=4, high=5, how="strip")
    drums.record_test(drum(), result=result, by=signed(1))


def of_solids():
    solid, other = drum("rags_copper", name="R"), drum("rags_copper", name="S")
    put(solid, pieces=2)
    drums.pour_over(solid, into=DepositRequest(drum=other, kind="rags_copper", litres=poured(1)), by=signed(2))


def opened_twice():
    jar = stocked("500 g")
    shelf.open_it(jar, by=signed(1))
    shelf.open_it(jar, by=signed(2))


def not_inducted():
    Workshop._base_manager.update(asks_for_induction=True)
    bites.start(adopted(), setting=Setting(), by=signed(1))


def low_twice():
    material = stocked("500 g").material
    orders.mark_low(material, by=signed(1))
    orders.mark_low(material, by=signed(2))


def a_second_place():
    for day in (1, 2):
        shelf.add_place(name="Red cabinet", kind="shelf", by=signed(day))


REFUSALS = {
    "a jar that is open": (opened_twice, ["shelf:container"]),
    "somebody who is not inducted": (not_inducted, ["people:inductions"]),
    "what is marked as low": (low_twice, ["orders:orders"]),
    "a second place of a name": (a_second_place, ["safety:place"]),
    "an empty drum that goes": (lambda: handed_over(drum()), ["waste:deposit"]),
    "more than is in a jar": (
        lambda: shelf.use(stocked("555 g"), amount=600_000, by=signed(1)),
        ["shelf:receive", "shelf:count"],
    ),
    "more than is in a bath": (
        lambda: baths.take_out(adopted(), Removed(day=0, litres=50), where_to="a pail", by=signed(1)),
        ["baths:read_level"],
    ),
    "above the rim": (lambda: baths.top_up(adopted(), water_l=5, by=signed(1)), ["baths:read_level"]),
    "an unread tank": (lambda: baths.top_up(BathFactory(), water_l=1, by=signed(1)), ["baths:mix", "baths:adopt"]),
    "what is no bath salt": (
        lambda: baths.top_up(adopted(), salt=[Portion(stocked("1 kg"), 1000)], by=signed(1)),
        ["shelf:change_material"],
    ),
    "a cup that nobody weighed": (lambda: salt.scooped(stocked("1 kg"), 250_000), ["shelf:change_material"]),
    "a bath in use": (
        lambda: [started(bath := adopted(), at=1), bites.start(bath, setting=Setting(), by=signed(1.001))],
        ["bites:bite"],
    ),
    "a plate that is bitten": (twice_in, ["bites:bite"]),
    "a plate that is away": (away, ["bites:bring_back"]),
    "a second plate of a name": (lambda: [plate(), plate()], ["bites:plate"]),
    "a second cathode of a name": (
        lambda: [hung(), cathodes.hang_new(Cathode(name="Copper sheet"), sheet=sheet(), bath=adopted(), by=signed(1))],
        ["cathodes:cathode"],
    ),
    "a cathode that hangs nowhere": (out_of_a_cathode, ["cathodes:hang"]),
    "a second drum of a name": (lambda: [drum(), drum()], ["waste:drum"]),
    "a full drum": (full, ["waste:start_drum"]),
    "a drum that has left": (gone, ["waste:disposal"]),
    "lighter than empty": (lighter_than_empty, ["waste:weigh_empty"]),
    "a test of nothing": (empty_drum_tested, ["waste:deposit"]),
    "litres of solids": (of_solids, ["waste:look_over"]),
    "what later lines rest on": (striking, ["book:entry"]),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_a_refusal_offers_pages_that_open(keyholder, case):
    act, pages = REFUSALS[case]

    with pytest.raises(Refused) as refusal:
        act()

    assert len(refusal.value.ways) == len(pages)
    for (words, url), page in zip(refusal.value.ways, pages, strict=True):
        opened = keyholder.get(url)
        assert (opened.status_code, opened.resolver_match.view_name) == (200, page)
        assert words


def test_the_page_of_a_jar_offers_to_receive_where_too_little_is_in_it(member):
    jar = stocked("555 g")

    response = member.post(reverse("shelf:use", args=[jar.code]), {"key": uuid4(), "amount_0": "600", "amount_1": "g"})

    page = response.content.decode()
    assert "Only 555 g is in" in page or "Only 555 g in" in page
    assert f'value="{reverse("shelf:receive", args=[jar.material_id])}"' in page  # what was typed waits meanwhile
