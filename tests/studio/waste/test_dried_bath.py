"""A bath dried past what the density equation covers is read on every page, and so is a drum it was poured into."""

import pytest
from django.core.cache import cache
from django.test import Client

from chemistry.solution.sulfate import HIGHEST_MASS_FRACTION
from studio.baths import estimate
from studio.people.roles import KEYHOLDER
from studio.waste import sources
from studio.waste.content import content_of_drum
from studio.waste.operations import DepositRequest
from tests.factories import PersonFactory, adopted, bitten, day, jug, plate, signed, started
from tests.studio.bites.test_photographs import photographed
from tests.studio.cathodes.shop import hung
from tests.studio.conftest import sign_in
from tests.studio.waste.shop import drum, put
from tests.test_access import addresses_of, one_of_everything

pytestmark = pytest.mark.django_db


@pytest.fixture
def dried(db):
    """A tray left open until next to no water is in it, a litre of it poured into a drum, plates bitten in it."""
    bath = adopted(name="Dried tray", volume_l=3, strength_g_per_l=400, lid_on=False)
    assert estimate.at_moment(bath, day(100)).mass_fraction > HIGHEST_MASS_FRACTION
    return bath


def test_no_page_breaks_over_a_bath_that_dried_up(dried, client):
    into = drum("bath_spent", name="W7")
    bitten(dried, at=100)
    sources.take_out(dried, jug(0.2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(101))
    put(drum("rinse", name="W6"), 3, at=102, source="rinse")
    salted = plate(name="Salted")
    photo = photographed(salted).photographs.get()
    known = one_of_everything() | {
        "baths": {"pk": dried.pk},
        "bites": {"plate": salted.pk, "photo": photo.pk, "parcel": 1, "bite": started(dried, at=103).pk},
        "cathodes": {"pk": hung(bath=dried, name="Salted sheet").pk},
        "waste": {"pk": into.pk, "code": "C1"},
        "safety:bath_paper": {"pk": dried.pk},
        "safety:label_bath": {"pk": dried.pk},
        "safety:open_bath": {"pk": dried.pk},
        "safety:drum_paper": {"pk": into.pk},
        "safety:open_drum": {"pk": into.pk},
    }
    addresses = addresses_of(known)
    keyholder = Client(raise_request_exception=False)
    sign_in(keyholder, PersonFactory(role=KEYHOLDER))
    stranger = Client(raise_request_exception=False)
    broken = set()
    for name, address in sorted(addresses.items()):
        cache.clear()
        for who, asking in (("keyholder", keyholder), ("stranger", stranger)):
            answer = asking.get(address)
            if answer.status_code >= 500:
                broken.add((name, who))
            if answer.streaming:
                list(answer.streaming_content)  # a photograph's file stays open until it is taken

    assert broken == set()


def test_a_drum_of_it_holds_the_liquid_and_not_the_crystals(dried):
    into = drum("bath_spent", name="W7")
    before = estimate.at_moment(dried, day(101))

    sources.take_out(dried, jug(0.2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(101))

    after = estimate.at_moment(dried, day(101))
    held = content_of_drum(into)
    assert held.copper.value == pytest.approx((before.salt_g - after.salt_g) * 63.546 / 249.686, rel=1e-3)
    assert held.mass.value == pytest.approx(0.2 * 1200, rel=0.05)
