"""The chemical list: by place, on any day, on paper and as CSV."""

import csv
from io import BytesIO, StringIO

import pypdf
import pytest
from django.urls import reverse

from inventory import book, ledger
from inventory.models import Place, SafetySheet
from studio.baths import operations as baths
from tests.factories import MaterialFactory, PlaceFactory, adopted, signed, stocked
from tests.studio.safety.shop import copied, made_of, put

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_OF_A_PAST_DAY, MOST_QUERIES_ONCE_KEPT = 14, 14, 5
PAGE, PAPER, CSV, STAYS = (
    reverse(f"safety:{name}") for name in ("chemicals", "chemicals_paper", "chemicals_csv", "stays_csv")
)


@pytest.fixture
def cabinet(studio, today):
    """Ten days into the book: acetone in a cabinet, crystals on a shelf, a bath on the bench."""
    today(10)
    cabinet = PlaceFactory(name="Red cabinet", kind=Place.Kind.FLAMMABLES)
    acetone = made_of(("acetone", 100, 100), name="Acetone", dimension="volume", shown_unit="L")
    put(acetone, "2 L", cabinet, at=1)
    put(acetone, "0.5 L", cabinet, at=5)
    stocked("500 g", at=1, name="Blue crystals", crystals=True)
    adopted(at=1, name="Upright tank")
    MaterialFactory(name="Towel", dimension="count", shown_unit="piece")
    return cabinet


def page(browser, **asked):
    response = browser.get(PAGE, asked)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def lines(browser, address, **asked):
    sent = b"".join(browser.get(address, asked).streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(StringIO(sent)))


def test_the_list_has_amounts_classes_and_sheets_by_place(member, cabinet, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        page(member)
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        shown = page(member)

    assert shown.index("Red cabinet") < shown.index("Acetone</a></th>")
    assert ">2.5 L</td>" in shown
    assert "H225" in shown and "Danger" in shown
    assert "not on file" in shown
    assert "Upright tank" in shown and "12.0 ± 0.2 L" in shown
    assert "Towel" not in shown


def test_a_sheet_on_file_is_named_with_its_date(member, cabinet):
    acetone = cabinet.containers.first().material
    with book.entry("safety sheet filed", "filed", signed(2)) as entry:
        SafetySheet.objects.create(entry=entry, material=acetone, file="x.pdf", sha256="0", dated_on="2025-03-03")

    assert "3 Mar 2025" in page(member)
    assert {line["What"]: line["Sheet of"] for line in lines(member, CSV)} == {
        "Upright tank": "",
        "Acetone": "2025-03-03",
        "Blue crystals": "not on file",
    }


def test_litres_that_burn_are_summed_by_category_against_the_limit(member, cabinet):
    flash = {"dimension": "volume", "shown_unit": "L"}
    put(made_of(("white_spirit", 100, 100), name="White spirit", **flash), "3 L", cabinet)
    put(MaterialFactory(name="Old thinner", storage_group="flammable", **flash), "1 L", cabinet)
    sheet = MaterialFactory(name="Copied spirit", **flash)
    copied(sheet, ("H225", "Highly flammable liquid and vapour."), signal_word="Danger")
    put(sheet, "0.5 L", cabinet)

    shown = page(member)

    assert 'data-label="Category 2">3</td>' in shown
    assert 'data-label="Category 3">3</td>' in shown
    assert 'data-label="Not known">1</td>' in shown
    assert 'data-label="Together">7</td>' in shown
    assert "within the limit" in shown and "29 CFR 1910.106(d)(3)(i)" in shown


def test_a_place_over_its_limit_says_so(member, cabinet):
    Place._base_manager.filter(pk=cabinet.pk).update(flammables_limit_ul=1_000_000)

    assert "over the limit" in page(member)


def test_what_burns_and_has_no_litres_needs_info(member, cabinet):
    put(
        MaterialFactory(name="Stop-out pens", dimension="count", shown_unit="piece", storage_group="flammable"),
        "6 pieces",
        cabinet,
    )

    shown = page(member)

    assert "litres not known" in shown and "Stop-out pens" in shown


def test_a_past_day_is_listed_as_it_was(member, cabinet, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES_OF_A_PAST_DAY):
        shown = page(member, on="2026-03-04")

    assert "As it stood at the end of 4 March 2026." in shown
    assert ">2 L</td>" in shown and ">2.5 L</td>" not in shown
    assert "Upright tank" in shown
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        page(member, on="2026-03-04")


def test_before_the_book_began_nothing_stood_here(member, cabinet):
    shown = page(member, on="2026-03-01")

    assert "Nothing that belongs on this list stood here." in shown
    assert "Upright tank" not in shown


def test_a_move_and_a_finished_jar_stay_in_the_past(member, cabinet):
    acetone = cabinet.containers.order_by("pk").first()
    with book.entry("moved", "moved", signed(6)) as entry:
        ledger.move(acetone, PlaceFactory(name="Sill"), entry=entry)
    with book.entry("finished", "finished", signed(8)) as entry:
        ledger.finish(acetone, entry=entry)

    assert "Sill" not in page(member)
    assert "Sill" in page(member, on="2026-03-09")
    assert "Sill" not in page(member, on="2026-03-07")
    assert [(line["Place"], line["From"], line["Until"]) for line in lines(member, STAYS)][:2] == [
        ("Red cabinet", "2026-03-03", "2026-03-08"),
        ("Sill", "2026-03-08", "2026-03-10"),
    ]


def test_a_bath_is_listed_with_what_was_in_it_on_that_day(member, cabinet):
    bath = adopted(at=1, name="Small tank", volume_l=4)
    baths.take_out(bath, litres=2, where_to="a drum", by=signed(8))

    assert "4.0 ± 0.2 L" in page(member, on="2026-03-05")
    assert "4.0 ± 0.2 L" not in page(member)


@pytest.mark.parametrize(
    ("typed", "said"), [("2199-01-01", "That day has not come yet."), ("last week", "That is no day")]
)
def test_a_day_that_cannot_be_listed_is_refused_and_today_is_shown(member, cabinet, typed, said):
    shown = page(member, on=typed)

    assert said in shown and f'value="{typed}"' in shown
    assert ">2.5 L</td>" in shown


def test_what_is_away_is_not_on_the_list(member, cabinet):
    away = PlaceFactory(name="Partner studio", kind=Place.Kind.AWAY)
    put(made_of(("acetone", 100, 100)), "1 kg", away)

    assert "Partner studio" not in page(member)
    assert "Partner studio" not in page(member, on="2026-03-09")


@pytest.mark.parametrize("region", ["us", "eu"])
def test_where_the_region_leaves_out_hazards_to_fish_a_banner_says_so(member, studio, cabinet, region):
    type(studio)._base_manager.update(region=region)

    assert ("not required by" in page(member)) == (region == "us")


def test_an_empty_studio_is_told_what_to_do(member, studio):
    assert "Receive something" in page(member)


def test_the_list_is_printed_and_can_be_read_aloud(member, cabinet):
    pdf = pypdf.PdfReader(BytesIO(member.get(PAPER, {"on": "2026-03-04"}).content))

    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert pdf.metadata.title == "Chemical list: 4 March 2026"
    assert "Red cabinet" in said and "Acetone" in said and "2 L" in said and "29 CFR 1910.106(d)(3)(i)" in said
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_what_a_spreadsheet_would_run_comes_as_text(member, cabinet):
    put(made_of(("acetone", 100, 100), name="=HYPERLINK(1)"), "1 kg", cabinet)

    assert "'=HYPERLINK(1)" in {line["What"] for line in lines(member, CSV)}
