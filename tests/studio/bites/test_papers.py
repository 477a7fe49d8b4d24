import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from chemistry.measured import Measured
from inventory import book
from studio.bites import plates
from studio.bites.models import Parcel
from studio.workshop.models import Workshop
from tests.factories import PlaceFactory, adopted, bitten, plate, signed

pytestmark = pytest.mark.django_db


def printed(browser, page, **arguments):
    answer = browser.get(reverse(f"bites:{page}", kwargs=arguments))
    assert answer.headers["Content-Type"] == "application/pdf"
    return PdfReader(io.BytesIO(answer.content))


def text(paper):
    return " ".join(" ".join(page.extract_text() for page in paper.pages).split())


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_run_card_has_ten_lines_on_one_sheet(member, size):
    Workshop._base_manager.update(paper=size)
    adopted(name="Upright tank"), adopted(name="Small tank")

    paper = printed(member, "run_card")

    assert len(paper.pages) == 1
    assert all(f" {number} " in text(paper) for number in range(1, 11))


def test_a_run_card_has_the_boxes_and_the_six_lines(member):
    adopted(name="Upright tank")

    shown = text(printed(member, "run_card"))

    for words in (
        "Upright tank",
        "Supply off while you clip",
        "Plate on +, cathode on −",
        "Set V",
        "Min, A, V",
        "came back by itself",
        "A kitchen timer rings, a locked phone may not",
    ):
        assert words in shown


def test_a_parcel_note_tells_the_next_step_and_what_was_done(member):
    harbour = plate(name="Harbour", thickness_mm=1.02)
    bitten(adopted(name="Upright tank", strength_g_per_l=240), plate=harbour, exposed=Measured(50, 5, "cm²"))
    partner = PlaceFactory(name="Wrenfield", kind="away")
    plates.send([harbour], partner=partner, weight_g=1400, next_step="etch it deeper", by=signed(2))

    shown = text(printed(member, "parcel_note", parcel=Parcel.objects.get().pk))

    for words in (
        "To Wrenfield",
        "etch it deeper",
        "Do not clean.",
        "1400 g with the packing",
        "about 282 g by its size",
        "Upright tank, 240 g/L",
        "0.72",  # ampere-minutes to each square centimetre
        "Yours, to send back with it",
    ):
        assert words in shown


def test_what_nobody_wrote_down_needs_info(member):
    harbour = plate(name="Harbour")
    plates.send([harbour], partner=PlaceFactory(kind="away"), by=signed(2))

    shown = text(printed(member, "parcel_note", parcel=Parcel.objects.get().pk))

    assert "needs info" in shown and "Nothing was said: ask before you go on" in shown


@pytest.mark.parametrize("strength", ["g/L", "°Bé"])
def test_a_partner_is_asked_for_the_strength_as_this_studio_reads_it(member, strength):
    Workshop._base_manager.update(strength=strength)
    plates.send([plate()], partner=PlaceFactory(kind="away"), by=signed(2))

    assert f"Bath, {strength}" in text(printed(member, "parcel_note", parcel=Parcel.objects.get().pk))


def test_a_struck_parcel_has_no_note(member):
    harbour = plate()
    sent = plates.send([harbour], partner=PlaceFactory(kind="away"), by=signed(2))
    parcel = Parcel.objects.get()

    book.strike(sent, by=signed(3), reason="collected")

    assert member.get(reverse("bites:parcel_note", args=[parcel.pk])).status_code == 404
