"""What a keyholder says the current moves: it takes the place of the usual estimate, and weighings go on from there."""

from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry.copper.efficiency import ANODE, CATHODE
from chemistry.measured import by_scale
from inventory import book
from studio.bites import calibration, operations, plates
from studio.bites.calibration import Electrode
from studio.bites.models import OwnEfficiency
from studio.cathodes import status
from tests.factories import adopted, bitten, plate, signed
from tests.studio.cathodes.shop import hung

pytestmark = pytest.mark.django_db

PAGE = "bites:efficiency"


def said(electrode=Electrode.PLATE, share=1.0, half_width=0.01, *, at=1):
    facts = {"electrode": electrode, "share": share, "half_width": half_width, "reason": "ten plates weighed"}
    return operations.say_efficiency(**facts, by=signed(at))


def text(response):
    return " ".join(response.content.decode().split())


def test_without_a_word_the_usual_estimate_is_taken():
    assert (calibration.expected(Electrode.PLATE), calibration.expected(Electrode.CATHODE)) == (ANODE, CATHODE)


def test_what_was_said_last_counts_until_it_is_struck():
    said(share=1.0, at=1)
    last = said(share=0.98, at=2)
    assert calibration.anode_efficiency().value == pytest.approx(0.98)

    book.strike(last, by=signed(3), reason="a slip")

    assert calibration.anode_efficiency().value == pytest.approx(1.0)


def test_the_working_names_who_said_it_and_why():
    said()

    assert "ten plates weighed" in calibration.anode_efficiency().working.source


def test_weighings_go_on_teaching_from_there():
    bath, harbour = adopted(), plate()
    said(share=0.98, half_width=0.02)
    for at, mass_g in ((2, 284.00), (4, 281.46)):
        plates.weigh(harbour, weight=by_scale(mass_g, 0.01), by=signed(at))
    bitten(bath, at=3, amps=2.1, minutes=60, plate=harbour)

    assert 0.98 < calibration.anode_efficiency().value < 1.02


def test_a_cathode_grows_by_what_was_said_of_cathodes_only():
    cathode = hung()
    said(Electrode.PLATE, share=0.9)
    assert status.status_of_cathode(cathode).efficiency.value == pytest.approx(CATHODE.share.value)

    said(Electrode.CATHODE, share=0.93)

    assert status.status_of_cathode(cathode).efficiency.value == pytest.approx(0.93)


def test_a_keyholder_says_it_on_the_page_and_sees_it_beside_what_is_learned(keyholder):
    typed = {"electrode": "plate", "percent": "101,5", "half_width": "2", "reason": "by calliper"}

    keyholder.post(reverse(PAGE), typed | {"key": uuid4()})

    own = OwnEfficiency.objects.get()
    assert (own.share, own.half_width) == (pytest.approx(1.015), pytest.approx(0.02))
    page = text(keyholder.get(reverse(PAGE)))
    assert "103 ± 3 %" in page
    assert "101.5 ± 2 %" in page
    assert "by calliper" in page


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [("percent", "1.03", "outside 50 to 150"), ("half_width", "0", "outside 0.1 to 50"), ("reason", "", "Needed")],
)
def test_a_slip_is_refused_beside_its_field(keyholder, field, typed, sentence):
    usual = {"electrode": "plate", "percent": "101", "half_width": "2", "reason": "by calliper", "key": uuid4()}

    response = keyholder.post(reverse(PAGE), usual | {field: typed})

    assert sentence in " ".join(response.context["form"].errors[field])
    assert not OwnEfficiency.objects.exists()


def test_a_member_is_not_asked(member):
    assert member.get(reverse(PAGE)).status_code == 403
    assert reverse(PAGE) not in text(member.get(reverse("bites:bites")))


def test_the_page_asks_the_database_little(keyholder, django_assert_max_num_queries):
    said()

    with django_assert_max_num_queries(10):
        keyholder.get(reverse(PAGE))
