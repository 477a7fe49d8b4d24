"""The inspector's folder: everything in one paper, its gaps among it, nobody's private matters."""

import uuid
from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from inventory.models import Container
from studio.baths.salt import Portion
from studio.people.inductions import Task, induct
from studio.printing import papers, print_jobs
from studio.safety.folder import Folder
from studio.waste import incidents
from studio.waste.models import Incident
from tests.factories import PersonFactory, adopted, day, signed, stocked
from tests.studio.waste.shop import drum, handed_over, paper_of, put, reported, said

pytestmark = pytest.mark.django_db

MOST_QUERIES = 45  # one long paper, asked for a few times a year
PAGE = reverse("safety:folder")


@pytest.fixture(autouse=True)
def press(tmp_path, monkeypatch):
    monkeypatch.setattr(print_jobs, "FOLDER", tmp_path)


@pytest.fixture
def shop(studio, today):
    """A year of a small studio: what stands here, who was shown what, what left, what went wrong."""
    shelf = stocked("500 g", name="Blue crystals", crystals=True)
    adopted(name="Upright tank", place=shelf.place)
    stocked("1 L", name="Thinner", dimension="volume", shown_unit="mL", category="Solvents and thinners")
    went, here = drum(), drum(name="W4", kind="cleaner_used")
    put(went, 4)
    put(here, 2)
    today(9)
    return {"disposal": handed_over(went, document_kind="consignment note", document_number="N 7"), "here": here}


def gaps(studio):
    return " ".join(Folder(studio).gaps)


def printed(browser):
    key = uuid.UUID(browser.post(PAGE).headers["Location"].rstrip("/").rsplit("/", 1)[1])
    print_jobs.work_off()
    response = browser.get(reverse("safety:booklet_paper", args=[key]))
    reader = pypdf.PdfReader(BytesIO(b"".join(response.streaming_content)))
    return reader, " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.skipif(papers.available() is not None, reason="no Pango here")
def test_the_folder_holds_everything_and_is_readable_aloud(member, shop):
    induct(PersonFactory(name="Nell Marrow"), tasks=[Task.BATH], by=signed(1))
    said(asked="Quarry Lane water office", answer="Ask before anything is poured.")
    reported(hurt=PersonFactory(name="Ilse Quist"), injury="left eye")

    reader, words = printed(member)

    for what in (
        *("Upright tank", "Blue crystals", "500 g", "Thinner", "Nell Marrow", "The jug tipped over."),
        *("Somebody was hurt", "W4", "Quarry Lane Carriers", "N 7", "awaited", "Ask before anything is poured."),
    ):
        assert what in words, what
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


@pytest.mark.skipif(papers.available() is not None, reason="no Pango here")
def test_who_was_hurt_and_how_to_reach_members_stays_out_of_it(member, shop, studio):
    studio.keyholder_line = "01632 960142"
    studio.save_base()
    reported(hurt=PersonFactory(name="Ilse Quist", left_on="2026-03-05"), injury="left eye")

    _, words = printed(member)

    for private in ("Ilse Quist", "left eye", "01632 960142"):
        assert private not in words


def test_what_is_missing_is_said_plainly(studio, shop):
    found = gaps(studio)

    assert "No safety sheet of the supplier on file: Blue crystals, Thinner." in found
    assert "their signed copy is awaited" in found
    assert "Never looked over: W4." in found
    assert "Nobody has asked the authority" in found
    assert "does not say: checked by, address, licence" in found


def test_what_is_old_or_low_what_was_spilled_and_done_are_in_it(member, shop, studio):
    old = stocked("200 g", name="Rosin", reorder_level=500_000)
    happened = Incident(kind="spill", what_happened="A jar fell.")
    report = incidents.report(happened, from_shelf=[("container_amount", Portion(old, 50_000))], by=signed(5)).incident
    incidents.follow_up(report, words="Swept up twice.", by=signed(8))
    Container._base_manager.filter(pk=old.pk).update(use_by_on="2026-03-04")

    _, words = printed(member)

    for what in (
        f"Past use-by: Rosin {old.code}.",
        "Rosin: 150 g of 500 g",
        "−50 g",
        "Swept up twice.",
        "Complete since 2 March 2026: all that was written down from then on.",
        "the book was begun on 2 March 2026",
    ):
        assert what in words, what


def test_what_is_filled_in_is_no_gap_any_more(studio, shop):
    before = gaps(studio)
    paper_of(shop["disposal"])
    said()

    after = gaps(studio)

    for gap in ("their signed copy is awaited", "Nobody has asked the authority"):
        assert gap in before and gap not in after


def test_whose_induction_ended_or_ends_soon_has_one_on_record(studio, shop):
    for name, until in (("Ended", 5), ("Soon", 12), ("Long", 400)):
        induct(PersonFactory(name=name), tasks=[Task.BATH], by=signed(1), until_on=day(until).date())
    PersonFactory(name="Never")

    found = Folder(studio).gaps

    (never,) = (gap for gap in found if gap.startswith("No induction on record"))
    assert "Never" in never and not any(name in never for name in ("Ended", "Soon", "Long"))
    assert "An induction has ended: Ended." in found


def test_an_open_incident_is_a_gap(studio, shop):
    reported()

    assert "Incident still open: The jug tipped over." in gaps(studio)


def test_the_page_shows_the_gaps_before_anything_is_printed(keyholder, shop, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        shown = keyholder.get(PAGE).content.decode()

    assert "Known gaps" in shown and "signed copy is awaited" in shown


def test_an_empty_studio_has_a_folder_too(member):
    assert "The emergency line or the poison line" in member.get(PAGE).content.decode()
