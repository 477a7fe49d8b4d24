"""The wall sheet."""

from collections import Counter
from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from chemistry.bath import Adopted
from chemistry.hazards.advice import ROOM
from studio.baths import operations
from tests.factories import BathFactory, adopted, signed

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 10, 5
WALL, PAPER = reverse("safety:wall"), reverse("safety:wall_paper")


TWICE = {"A4": "A3", "Letter": "Ledger"}


def paper(browser, page="A3"):
    return pypdf.PdfReader(BytesIO(browser.get(PAPER, {"page": page}).content))


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

    printed = paper(member, TWICE[size])

    assert len(printed.pages) == 1
    assert ("on their own cards" in words(printed)) == (baths > 8)


@pytest.mark.parametrize(
    ("size", "page", "sheets"), [("A4", "A3", 1), ("A4", "", 2), ("Letter", "Ledger", 1), ("Letter", "", 2)]
)
def test_the_wall_sheet_is_read_from_an_arms_length_on_whatever_paper_there_is(member, studio, size, page, sheets):
    """Letters of 12 points; each of two sheets says at its foot what it is."""
    type(studio)._base_manager.update(paper=size)
    adopted(name="Upright tank")

    printed = paper(member, page)

    points = Counter()

    def see(text, current, matrix, _font, letters):
        points[round(abs(current[0]) * abs(matrix[0]) * letters)] += len(text.strip())

    for each in printed.pages:
        assert "Wall sheet" in each.extract_text(visitor_text=see)
    assert len(printed.pages) == sheets
    assert points.most_common(1)[0][0] == 12


def test_the_wall_sheet_holds_every_line_and_can_be_read_aloud(member):
    printed = paper(member)

    said, root = words(printed), printed.trailer["/Root"]
    for section in ROOM.values():
        assert section.title in said
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    assert printed.metadata.title == "Wall sheet"
    assert f"by {member.person}" in said


def told(name, acid_g_per_l):
    tank = BathFactory(name=name)
    acid = {"acid_g_per_l": acid_g_per_l, "acid_sd_g_per_l": 0.02 * (acid_g_per_l or 0)}
    event = Adopted(day=0, volume_l=11, volume_sd_l=0.1, strength_g_per_l=220, strength_sd_g_per_l=5, **acid)
    operations.adopt(tank, event, lid_on=True, by=signed(0))


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_wall_sheet_and_first_aid_tell_of_acid_by_what_it_does(member, stranger, studio, size):
    type(studio)._base_manager.update(paper=size)
    for number in range(9):
        told(f"Sour tank {number}", 50.0)
    told("Weak tank", 0.3)
    told("Clear tank", 0.0)
    told("Old tank", None)

    printed = paper(member, TWICE[size])

    assert len(printed.pages) == 1
    for said in (words(printed), stranger.get(reverse("first_aid")).content.decode()):
        said = " ".join(said.split())
        assert "Acid in a bath" in said and "Eye: as above." in said and "Sour tank 0, Sour tank 1" in said
        assert "Causes severe skin burns and eye damage." in said and "Wet clothes off at once" in said
        assert "Weak tank" in said and "Old tank" in said and "needs info. Ask, or read its pH" in said
        assert "and 5 more" in said


def test_without_acid_the_wall_sheet_says_nothing_of_it(stranger):
    told("Clear tank", 0.0)

    for page in (WALL, reverse("first_aid")):
        assert "Acid in a bath" not in stranger.get(page).content.decode()
