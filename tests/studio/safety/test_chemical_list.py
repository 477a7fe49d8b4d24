"""The chemical list: by place, on any day, on paper and as CSV."""

import csv
import itertools
from datetime import date
from io import BytesIO, StringIO

import pypdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory import book, facts, ledger
from inventory.models import Material, Place, SafetySheet
from studio.baths import operations as baths
from studio.baths.models import Bath
from studio.printing import pdf, print_jobs
from studio.printing.models import PrintJob
from studio.safety import chemical_list, overview
from tests.factories import MaterialFactory, PlaceFactory, adopted, day, declared, jug, signed, stocked
from tests.studio.safety.shop import constituent, copied, made_of, put

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_OF_A_PAST_DAY, MOST_QUERIES_ONCE_KEPT = 14, 20, 5
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

    assert shown.index("Red cabinet") < shown.index("Acetone</a>")
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


def test_litres_that_burn_are_summed_by_category_against_the_limit(member, studio, cabinet):
    type(studio)._base_manager.update(region="us")
    flash = {"dimension": "volume", "shown_unit": "L"}
    put(made_of(("white_spirit", 100, 100), name="White spirit", **flash), "3 L", cabinet)
    put(MaterialFactory(name="Old thinner", storage_group="flammable", **flash), "1 L", cabinet)
    sheet = MaterialFactory(name="Copied spirit", **flash)
    copied(sheet, ("H225", "Highly flammable liquid and vapour."), signal_word="Danger")
    put(sheet, "0.5 L", cabinet)

    shown = page(member)

    assert 'data-label="Category 2">3 L</td>' in shown
    assert 'data-label="Category 3">3 L</td>' in shown
    assert 'data-label="Not known">1 L</td>' in shown
    assert 'data-label="Together">7 L</td>' in shown
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

    assert "How much is not known" in shown and "Stop-out pens" in shown


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
    baths.take_out(bath, jug(2), where_to="a drum", by=signed(8))

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

    assert ("not required in the United States" in page(member)) == (region == "us")


def test_an_empty_studio_is_told_what_to_do(member, studio):
    assert "Receive something" in page(member)


def test_the_list_is_printed_and_can_be_read_aloud(member, studio, cabinet):
    type(studio)._base_manager.update(region="us")
    pdf = pypdf.PdfReader(BytesIO(member.get(PAPER, {"on": "2026-03-04"}).content))

    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert pdf.metadata.title == "Chemical list: 4 March 2026"
    assert "Red cabinet" in said and "Acetone" in said and "2 L" in said and "29 CFR 1910.106(d)(3)(i)" in said
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_a_place_that_goes_on_overleaf_is_named_there_again(member, cabinet):
    put(made_of(("acetone", 100, 100), name="Wipe"), "1 kg", PlaceFactory(name="Sink shelf"))
    shelf = Place.objects.get(name="Red cabinet")
    for number in range(40):
        put(made_of(("acetone", 100, 100), name=f"Thinner {number}"), "1 kg", shelf)

    pdf = pypdf.PdfReader(BytesIO(member.get(PAPER).content))
    first, second = (" ".join(page.extract_text().split()) for page in pdf.pages)

    # among the flammables, and over its own lines
    assert first.count("Red cabinet") == 2
    assert second.count("Red cabinet") == 1 and second.count("Sink shelf") == 1


def test_what_a_spreadsheet_would_run_comes_as_text(member, cabinet):
    put(made_of(("acetone", 100, 100), name="=HYPERLINK(1)"), "1 kg", cabinet)

    assert "'=HYPERLINK(1)" in {line["What"] for line in lines(member, CSV)}


def changed(thing, at, **values):
    with book.entry(declared("changed"), "changed", signed(at)) as written:
        facts.change(thing, values, entry=written)
    return written


def filed(material, at, dated_on):
    with book.entry("safety sheet filed", "filed", signed(at)) as written:
        SafetySheet.objects.create(entry=written, material=material, sha256="0", file="a.pdf", dated_on=dated_on)


def test_a_past_day_is_told_by_the_facts_classes_and_sheets_of_that_day(keyholder, cabinet, studio):
    acetone, bench = Material.objects.get(name="Acetone"), PlaceFactory(name="Bench by the window")
    filed(acetone, 1, date(2024, 5, 1))
    for at, values in {
        # a name by which nobody knows it: its own would tell its classes
        3: {"name": "Stuff from the cabinet", "composition": [], "flash_point_c": None, "storage_group": ""},
        4: {"name": "Acetone, technical", "composition": [constituent("acetone", 90, 100)]},
    }.items():
        changed(acetone, at, **values)
    copied(acetone, ("H225", "Highly flammable"), ("H319", "Irritates"), at=6, signal_word="Danger")
    filed(acetone, 6, date(2025, 5, 1))
    tank = Bath.objects.get()
    changed(tank, 7, name="Old upright tank", place=bench)
    changed(cabinet, 7, name="Blue cabinet", flammables_limit_ul=1_000_000)
    changed(studio, 7, region="us")

    told = {at: page(keyholder, on=day(at).date().isoformat()) for at in (2, 3, 4, 6, 8)}

    assert "H225" in told[2] and "1 May 2024" in told[2] and ">Acetone</a>" in told[2]
    assert "H225" not in told[3] and "needs info" in told[3]
    assert ">Acetone, technical</a>" in told[4] and "H336" in told[4] and "1 May 2024" in told[4]
    assert "H336" not in told[6] and "H319" in told[6] and "1 May 2025" in told[6]
    for at in (2, 3, 4, 6):
        assert "Red cabinet" in told[at] and ">Upright tank</a>" in told[at] and "Bench by the window" not in told[at]
    assert "Blue cabinet" in told[8] and ">Old upright tank</a>" in told[8] and "Bench by the window" in told[8]
    assert "H411" in told[6] and "known today" not in told[6]
    rows = {line["What"]: line for line in lines(keyholder, CSV, on=day(3).date().isoformat())}
    assert rows["Stuff from the cabinet"]["Signal word"] == "needs info"


def test_a_summary_of_a_past_day_says_what_it_said_then(keyholder, stranger, cabinet):
    acetone = Material.objects.get(name="Acetone")
    address = f"{reverse('safety:open_material', args=[acetone.pk])}?on={day(3).date()}"
    changed(acetone, 4, name="Acetone, technical", composition=[constituent("water", 100, 100)])
    assert f'href="{address}"' in page(keyholder, on=day(3).date().isoformat())

    then = " ".join(keyholder.get(address).content.decode().split())

    assert "as it was at the end of 5 March 2026" in then and "H225" in then and "Made of acetone 100 %" in then
    assert "Stood here then: Red cabinet." in then
    now = keyholder.get(reverse("safety:open_material", args=[acetone.pk])).content.decode()
    assert "H225" not in now and "Acetone, technical" in now
    assert "at the end of" not in stranger.get(address).content.decode()


def test_what_is_asked_about_is_one_rule_in_the_database_and_beside_it(studio):
    for category, dimension, group, flash in itertools.product(
        ("Solvents and thinners", "Inks, tapes", "Copper sheet and plates"),
        ("mass", "count"),
        ("", "general", "acid"),
        (None, 20),
    ):
        MaterialFactory(category=category, dimension=dimension, storage_group=group, flash_point_c=flash)
    made_of(("acetone", 1, 2), category="Abrasives", dimension="count")
    copied(MaterialFactory(category="Abrasives", dimension="count"))

    assert overview.asked_about_then(list(Material.objects.all()), day(2)) == set(overview.asked_about())


@pytest.fixture
def long_list(studio, today, tmp_path, monkeypatch):
    """Two shelves of 70 and 40 materials, and no thread but the test's own to print them."""
    today(3)
    monkeypatch.setattr(print_jobs, "FOLDER", tmp_path)
    monkeypatch.setattr(print_jobs, "work_off_aside", lambda: None)
    for name, many in (("Shelf A", 70), ("Shelf B", 40)):
        place = PlaceFactory(name=name)
        for number in range(many):
            put(MaterialFactory(name=f"{name} stuff {number}"), "100 g", place, at=1)


def test_a_long_list_takes_no_thread_of_the_book_and_is_printed_part_by_part(member, long_list, monkeypatch):
    monkeypatch.setattr(pdf, "print_alone", lambda *told, **how: pytest.fail("a page waited for the press"))

    asked = member.get(PAPER)
    assert "The list has 110 lines." in asked.content.decode()
    begun = member.post(PAPER)
    assert member.post(PAPER).headers["Location"] == begun.headers["Location"]

    [job] = PrintJob.objects.all()
    assert (job.parts, "Shelf A" in job.html[0], "stuff" in job.html[0]) == (2, True, False)
    # each line is laid out once, and none of them twice
    assert sum(part.count('<th scope="row">Shelf') for part in job.html[1:]) == 110
    print_jobs.work_off()
    answer = member.get(reverse("safety:booklet_paper", args=[job.key]))
    paper = pypdf.PdfReader(BytesIO(b"".join(answer.streaming_content)))
    pages = [" ".join(page.extract_text().split()) for page in paper.pages]
    assert "Shelf A 1 Shelf B" in pages[0] and "Left out" in pages[0]
    assert sum(page.count("Shelf B stuff") for page in pages) == 40
    assert "Print it" in member.get(member.get(begun.headers["Location"]).context["asked_for"]).content.decode()


def test_a_viewer_is_told_who_prints_a_long_list(viewer, long_list):
    page = viewer.get(PAPER).content.decode()

    assert "A member or a keyholder prints it" in page and "Print the list" not in page


def test_twice_as_many_jars_are_asked_for_in_as_many_queries(studio, today):
    today(3)
    asked = []
    for _ in range(2):
        for number in range(20):
            jars = stocked("100 g", at=1, name=f"Stuff {number} {len(asked)}")
            put(jars.material, "50 g", jars.place, at=1)
        with CaptureQueriesContext(connection) as queries:
            listed = chemical_list.listed(studio)
        asked.append(len(queries))

    assert sum(len(each.lines) for each in listed) == 40
    assert asked[0] == asked[1] <= MOST_QUERIES


def test_a_part_holds_so_many_lines_whichever_places_they_stand_in(studio, long_list):
    listed = chemical_list.listed(studio)

    parts = list(chemical_list.batches(listed, 30))

    assert [sum(len(each.lines) for each in part) for part in parts] == [30, 30, 30, 20]
    again = [line for part in parts for each in part for line in each.lines]
    assert again == [line for each in listed for line in each.lines]
