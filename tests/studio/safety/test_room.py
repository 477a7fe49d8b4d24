"""The wall sheet."""

from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from chemistry.hazards.advice import ROOM
from tests.factories import BathFactory, adopted

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 10, 5
WALL, PAPER = reverse("safety:wall"), reverse("safety:wall_paper")


def paper(browser):
    return pypdf.PdfReader(BytesIO(browser.get(PAPER).content))


def words(pdf):
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


def test_the_wall_sheet_opens_for_anybody_in_few_queries(stranger, django_assert_max_num_queries):
    adopted(name="Upright tank", range_low_g_per_l=210, range_high_g_per_l=255)

    with django_assert_max_num_queries(MOST_QUERIES):
        stranger.get(WALL)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        shown = stranger.get(WALL).content.decode()

    assert "Plate on +, cathode on −." in shown
    assert "at least 15 minutes by the clock" in shown
    assert "210 to 255 g/L" in shown


def test_numbers_nobody_wrote_down_are_blank_and_those_known_are_printed(member, studio):
    type(studio)._base_manager.update(emergency_line="112")

    shown = member.get(WALL).content.decode()

    assert "112" in shown
    assert shown.count("no number in the book yet") == 2


def test_a_range_is_told_in_the_studios_unit(stranger, studio):
    type(studio)._base_manager.update(strength="°Bé")
    BathFactory(range_low_g_per_l=210, range_high_g_per_l=255)

    assert "17.0 to 20.0 °Bé" in stranger.get(WALL).content.decode()


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("baths", [0, 1, 12])
def test_the_wall_sheet_is_one_page_however_many_baths(member, studio, size, baths):
    type(studio)._base_manager.update(paper=size)
    BathFactory.create_batch(baths)

    printed = paper(member)

    assert len(printed.pages) == 1
    assert ("on their own cards" in words(printed)) == (baths > 8)


def test_the_wall_sheet_holds_every_line_and_can_be_read_aloud(member):
    printed = paper(member)

    said, root = words(printed), printed.trailer["/Root"]
    for section in ROOM.values():
        assert section.title in said
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    assert printed.metadata.title == "Wall sheet"
    assert f"by {member.person}" in said
