"""The overview, the open summaries and their papers."""

from datetime import date
from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from inventory import book
from inventory.models import Person, SafetySheet
from studio.shelf import operations as shelf_operations
from studio.workshop import operations as workshop
from tests.factories import MaterialFactory, PlaceFactory, adopted, signed, stocked
from tests.studio.orders.shop import PackFactory
from tests.studio.safety.shop import made_of
from tests.studio.waste.shop import drum, handed_over, put

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_OF_ALL, MOST_QUERIES_ONCE_KEPT = 10, 12, 5
OVERVIEW = reverse("safety:list")


def page(browser, name, *args):
    response = browser.get(reverse(f"safety:{name}", args=args))
    assert response.status_code == 200
    return response.content.decode()


@pytest.fixture
def shelf(studio, today):
    """Something of every sort, and a bath."""
    today(1)
    made_of(("water", 100, 100), name="Water")
    made_of(("sodium_carbonate", 100, 100), name="Soda ash")
    made_of(("acetone", 100, 100), name="Acetone")
    MaterialFactory(name="Secret ground", category="Grounds")
    MaterialFactory(name="Towel", category="Straining and containers", dimension="count", shown_unit="piece")
    return adopted(name="Upright tank")


def test_the_overview_has_the_most_severe_first_and_what_needs_info_is_never_clear(member, shelf):
    shown = page(member, "list")

    places = [shown.index(words) for words in ("Upright tank", "Acetone", "Soda ash", "Secret ground", ">Water<")]
    assert places == sorted(places)
    assert "nothing about them is clear" in shown
    assert "Towel" not in shown


def test_the_overview_says_whom_to_ask_for_a_missing_sheet(member, studio):
    pack = PackFactory(supplier__name="Larkhithe Sundries", supplier__phone="01632 960274")

    shown = page(member, "list")

    assert "sheet not on file" in shown
    assert "Ask Larkhithe Sundries: 01632 960274." in shown
    assert str(pack.material) in shown


def test_the_overview_links_to_a_sheet_on_file(member, studio):
    soda = made_of(("sodium_carbonate", 100, 100))
    with book.entry("safety sheet filed", "filed", signed(0)) as entry:
        SafetySheet.objects.create(entry=entry, material=soda, file="x.pdf", sha256="0", dated_on=date(2025, 3, 3))

    assert "Sheet of 3 March 2025" in page(member, "list")


def test_an_empty_studio_is_told_what_to_do_next(member, studio):
    assert "Write down a material" in page(member, "list")


def test_only_a_keyholder_is_offered_to_copy_a_sheet(member, keyholder, shelf):
    assert "Copy its sheet’s classes" not in page(member, "list")
    assert "Copy its sheet’s classes" in page(keyholder, "list")


def test_the_overview_takes_few_queries_and_fewer_once_kept(member, shelf, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES_OF_ALL):
        member.get(OVERVIEW)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        member.get(OVERVIEW)


@pytest.mark.parametrize("name", ["open_bath", "open_material", "open_container"])
def test_a_summary_opens_for_anybody_in_few_queries(stranger, shelf, name, django_assert_max_num_queries):
    jar = stocked("500 g", crystals=True)
    of = {"open_bath": shelf.pk, "open_material": jar.material_id, "open_container": jar.code}[name]

    with django_assert_max_num_queries(MOST_QUERIES):
        shown = page(stranger, name, of)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        page(stranger, name, of)

    assert "DANGER" in shown
    assert "at least 15 minutes" in shown
    assert "Sign in to its page" in shown


def test_a_summary_leads_whoever_is_signed_in_to_the_things_own_page(member, shelf):
    shown = page(member, "open_bath", shelf.pk)

    assert f'href="{shelf.get_absolute_url()}"' in shown


@pytest.mark.parametrize("name", ["open_bath", "open_material", "open_container"])
def test_an_open_summary_names_nobody_and_counts_no_other_jar(stranger, shelf, name):
    jar = stocked("500 g", crystals=True)
    people = [person.name for person in Person.objects.all()]

    shown = page(stranger, name, {"open_bath": shelf.pk, "open_material": jar.material_id}.get(name, jar.code))

    assert not [person for person in people if person in shown]
    assert ("500 g" in shown) == (name == "open_container")


def test_lines_nobody_filled_in_stay_blank(stranger, shelf):
    assert "no number in the book yet" in page(stranger, "open_bath", shelf.pk)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("region", ["eu", "us", "elsewhere"])
def test_a_bath_has_one_sheet_and_the_worst_of_the_shelf_two_at_most(member, studio, shelf, paper, region):
    type(studio)._base_manager.update(paper=paper, region=region)
    worst = made_of(
        ("toluene", 20, 40), ("white_spirit", 20, 40), ("turpentine", 10, 20), ("rosin", 5, 10), ("?", 1, 5)
    )

    sheets = {
        name: pypdf.PdfReader(BytesIO(member.get(reverse(f"safety:{name}", args=[pk])).content))
        for name, pk in (("bath_paper", shelf.pk), ("material_paper", worst.pk))
    }

    assert len(sheets["bath_paper"].pages) == 1
    assert len(sheets["material_paper"].pages) <= 2


def test_a_summary_can_be_read_aloud_and_says_who_printed_it(member, shelf):
    pdf = pypdf.PdfReader(BytesIO(member.get(reverse("safety:bath_paper", args=[shelf.pk])).content))

    root = pdf.trailer["/Root"]
    said = " ".join(pdf.pages[0].extract_text().split())
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"]
    assert pdf.metadata.title == "Safety summary: Upright tank"
    assert f"by {member.person}" in said
    assert "Generic guidance; the supplier’s safety sheet, local rules and licensed people decide." in said


def test_a_banner_says_where_the_region_leaves_out_hazards_to_fish(stranger, studio, shelf):
    assert "not required by" not in page(stranger, "open_bath", shelf.pk)
    workshop.change(studio, region="us", by=signed())

    assert "not required in the United States" in page(stranger, "open_bath", shelf.pk)


def test_whoever_is_signed_in_reads_first_how_full_it_is_and_how_long_it_keeps(member, stranger, shelf, today):
    crystals = MaterialFactory(crystals=True)
    place = PlaceFactory()
    jar, old = (
        shelf_operations.receive(crystals, amount=500_000, use_by_on=day, place=place, by=signed(0))
        .movements.get()
        .container
        for day in (date(2027, 5, 3), date(2020, 1, 5))
    )
    shelf_operations.use(jar, amount=125_000, by=signed(1))
    vessel, empty, gone = drum(), drum(name="W2"), drum(name="W3")
    today(6)
    put(vessel, 5)
    put(gone, 1)
    handed_over(gone)
    expected = [
        ("open_container", jar.code, ["375 g left of 500 g: 75 %", "Use by 3 May 2027", "Open since"]),
        ("open_container", old.code, ["500 g left", "Past its use-by of 5 January 2020"]),
        ("open_material", jar.material_id, ["875 g here, in 2 containers"]),
        ("open_drum", vessel.pk, ["25 % full", "Begun"]),
        ("open_drum", empty.pk, ["nothing in it yet"]),
        ("open_drum", gone.pk, ["It has left:"]),
        ("open_bath", shelf.pk, ["Strength: ", "Volume: "]),
    ]

    for name, of, lines in expected:
        glance = page(member, name, of).split('<ul class="glance">')[1].split("</ul>")[0]
        for line in lines:
            assert line.lower() in glance.lower(), (name, glance)
        assert "glance" not in page(stranger, name, of)
