from io import BytesIO

import numpy as np
import pypdf
import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from chemistry.bath import Adopted
from studio.baths import operations
from studio.workshop.models import Workshop
from tests.factories import BathFactory, adopted, signed

MM_PER_POINT = 25.4 / 72
LONGEST_NAME = "Upright tank of the evening class by the window in bay two"
MARKS = [(cm, cm * 0.4) for cm in range(3, 31, 3)]


def printed(client, bath, paper, **query) -> bytes:
    response = client.get(reverse(f"baths:{paper}", args=[bath.pk]), query)
    assert response["Content-Type"] == "application/pdf"
    return response.content


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(BytesIO(pdf))


def text(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in read(pdf).pages)


def photographed(pdf: bytes, dpi: int):
    """The first page in greys, as a scanner sees it."""
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]
        picture = np.asarray(page.render(scale=dpi / 72).to_pil().convert("L"))
        page.close()
        return picture


@pytest.fixture
def bath(studio, today):
    today(3)
    return adopted(name="Upright tank", coldest_c=10)


def test_the_card_can_be_read_aloud(member, bath):
    pdf = read(printed(member, bath, "card"))

    root = pdf.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert pdf.metadata.title.endswith(": Upright tank")
    assert len(pdf.pages) == 1


@pytest.mark.parametrize(("page", "height_mm"), [("A4", 297), ("Letter", 279.4)])
def test_the_card_is_one_sheet_of_the_paper_asked_for(member, bath, page, height_mm):
    pdf = read(printed(member, bath, "card", page=page))

    assert len(pdf.pages) == 1
    assert float(pdf.pages[0].mediabox.height) * MM_PER_POINT == pytest.approx(height_mm, abs=0.1)


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("strength_g_per_l", [240, 345])
def test_the_card_stays_one_sheet_however_much_is_to_be_said(member, studio, today, page, strength_g_per_l):
    studio.emergency_line, studio.poison_line, studio.keyholder_line = "0112", "0123 456789", "0176 5554443332"
    studio.save_base()
    tank = BathFactory.build(name=LONGEST_NAME, place=BathFactory().place, marks=MARKS)
    operations.set_up(tank, by=signed(0))
    operations.adopt(
        tank,
        Adopted(day=0, volume_l=11, volume_sd_l=0.1, strength_g_per_l=strength_g_per_l, strength_sd_g_per_l=5),
        lid_on=False,
        by=signed(0),
    )
    today(3)

    assert len(read(printed(member, tank, "card", page=page)).pages) == 1


def test_a_size_nobody_has_falls_back_on_the_studios_paper(member, bath):
    assert len(read(printed(member, bath, "card", page="A9")).pages) == 1


def test_the_card_says_what_a_wet_hand_needs(member, studio, bath):
    studio.poison_line = "0123 456789"
    studio.save_base()

    said = text(printed(member, bath, "card"))

    for words in (
        "240 ± 10 g/L",
        "12.0 ± 0.2 L",
        "As of 5 March 2026, 10:00",
        "Crystals fall out of it below 5 ± 2 °C",
        "Supply off while you clip",
        "The plate is on +",
        "The cathode is on −",
        "Back and edges of the plate are covered",
        "no steel clip below the liquid",
        "No thinner, no rags, no flame",
        "Water alone, up to the mark; no crystals",
        "15 minutes by the clock",
        "lidded plastic pail",
        "Poison line 0123 456789",
        "the supplier’s safety sheet, local rules and licensed people decide",
    ):
        assert words in said, words


def test_the_card_lists_the_tanks_own_marks_and_the_one_to_fill_to(member, studio, today):
    tank = BathFactory.build(place=BathFactory().place, rim_l=14, fill_l=12, marks=[(10, 4), (20, 8.2)])
    operations.set_up(tank, by=signed(0))
    today(1)

    said = text(printed(member, tank, "card"))

    assert "10 cm 4 L" in said and "20 cm 8.2 L" in said
    assert "12 L, the mark" in said


def test_the_card_of_an_unread_tank_leaves_lines_to_write_on(member, today):
    today(1)

    said = text(printed(member, BathFactory(), "card"))

    assert "g/L" not in said
    assert "Its marks are not in the book yet" in said


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_the_code_opens_how_the_bath_stands_even_from_a_poor_print(member, bath, page):
    found = zxingcpp.read_barcodes(photographed(printed(member, bath, "card", page=page), dpi=100))

    assert [code.text for code in found] == [f"http://testserver/safety/open/baths/{bath.pk}/"]
    across = found[0].position.top_right.x - found[0].position.top_left.x
    assert across / 100 * 25.4 * 37 / 29 >= 20  # of its 37 modules 8 are the white border


def test_codes_point_at_the_address_the_studio_gave(member, bath, settings):
    settings.PUBLIC_URL = "https://book.example.org"

    found = zxingcpp.read_barcodes(photographed(printed(member, bath, "card"), dpi=150))

    assert [code.text for code in found] == [f"https://book.example.org/safety/open/baths/{bath.pk}/"]


def test_the_card_never_calls_a_bath_safe(member, bath):
    said = text(printed(member, bath, "card")).lower().replace("the supplier’s safety sheet", "")

    for word in ("safe", "legal", "non-toxic", "harmless"):
        assert word not in said


def test_a_code_that_only_this_machine_can_follow_says_so_on_the_paper(member, bath, settings):
    here = {"SERVER_NAME": "127.0.0.1"}
    pdf = member.get(reverse("baths:card", args=[bath.pk]), **here).content
    settings.PUBLIC_URL = "https://book.example.org"
    found_from_elsewhere = member.get(reverse("baths:card", args=[bath.pk]), **here).content

    assert "pens on this machine only" in text(pdf)
    assert len(read(pdf).pages) == 1
    assert "MORDANT_URL" not in text(found_from_elsewhere)


def test_a_card_in_baume_tells_grams_and_the_temperature_of_its_scale(member, bath):
    Workshop._base_manager.update(strength="°Bé")

    said = text(printed(member, bath, "card"))

    assert "°Bé as a US Baumé hydrometer shows at 60 °F: 240 ± 10 g/L" in said


BURN, RINSE_SKIN = "Causes severe skin burns and eye damage", "Wet clothes off at once"


@pytest.mark.parametrize(
    ("acid_g_per_l", "said", "unsaid"),
    [
        # strong, weak, none, and nobody knows
        (50.0, ["It holds sulfuric acid", BURN, RINSE_SKIN, "at least 15 minutes by the clock"], ["needs info"]),
        (0.3, ["It holds sulfuric acid", "Causes serious eye damage", "under the shower"], [BURN, RINSE_SKIN]),
        (0.0, ["at least 15 minutes by the clock"], ["sulfuric acid", "On the skin:", "needs info"]),
        (None, ["Acid in it: needs info"], ["It holds sulfuric acid", BURN]),
    ],
)
@pytest.mark.parametrize(("page", "marks", "ends"), [("A4", MARKS, "the mark"), ("Letter", [], "Pour in a jug")])
def test_the_card_tells_of_acid_by_what_it_does(member, studio, today, page, marks, ends, acid_g_per_l, said, unsaid):
    tank = BathFactory(marks=marks)
    told = {"acid_g_per_l": acid_g_per_l, "acid_sd_g_per_l": 0.02 * (acid_g_per_l or 0)}
    event = Adopted(day=0, volume_l=11, volume_sd_l=0.1, strength_g_per_l=220, strength_sd_g_per_l=5, **told)
    operations.adopt(tank, event, lid_on=False, by=signed(0))
    today(3)

    pdf = printed(member, tank, "card", page=page)

    assert len(read(pdf).pages) == 1
    # a part that had no room would be left out without a word
    parts = ["no flame near the tank", "go nowhere else", "wipe-water too", "Mark your tank", ends]
    for words in [*said, *parts]:
        assert words in text(pdf), words
    for words in unsaid:
        assert words not in text(pdf), words


@pytest.mark.parametrize(
    ("strength", "word", "has_deed"), [(300, "Over-strong", True), (120, "Weak", True), (245, "In range", False)]
)
def test_the_card_says_how_it_stands_in_words_for_two_metres(member, studio, today, strength, word, has_deed):
    """40 points are 14 mm: the eye reads a letter of a two-hundredth of its distance; common practice, no source."""
    today(3)
    bath = adopted(strength_g_per_l=strength, range_low_g_per_l=220, range_high_g_per_l=270, volume_l=11.5)
    sizes = {}

    def see(said, current, matrix, _font, letters):
        for each in said.split("\n"):
            sizes[each.strip()] = round(abs(current[0]) * abs(matrix[0]) * letters)

    [sheet] = read(printed(member, bath, "card")).pages
    sheet.extract_text(visitor_text=see)

    assert sizes[word] == 40
    assert (26 in sizes.values()) == has_deed
