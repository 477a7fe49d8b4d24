"""The booklet for the shelf."""

import uuid
from io import BytesIO

import pypdf
import pytest
from django.urls import reverse

from studio.printing import pango, print_jobs
from studio.printing.models import PrintJob
from tests.factories import adopted, stocked
from tests.studio.safety.shop import made_of, put
from tests.studio.waste.shop import drum

pytestmark = pytest.mark.django_db

MOST_QUERIES = 5
PAGE = reverse("safety:booklet")


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(print_jobs, "FOLDER", tmp_path)


@pytest.fixture
def shelf(studio, today):
    """A bath, a drum, a jar of crystals; acetone that nobody has any more."""
    today(1)
    crystals = stocked("500 g", name="Blue crystals", crystals=True)
    made_of(("acetone", 100, 100), name="Acetone")
    drum(name="W1", place=crystals.place)
    return adopted(name="Upright tank", place=crystals.place)


def begun(browser):
    """The address of a booklet on its way."""
    return browser.post(PAGE).headers["Location"]


def key_of(address):
    return uuid.UUID(address.rstrip("/").rsplit("/", 1)[1])


def printed(browser, address):
    print_jobs.work_off()
    response = browser.get(reverse("safety:booklet_paper", args=[key_of(address)]))
    return pypdf.PdfReader(BytesIO(b"".join(response.streaming_content)))


def words(page):
    return " ".join(page.extract_text().split())


def test_the_booklet_holds_the_wall_sheet_and_all_that_stands_here_and_can_be_read_aloud(member, shelf):
    booklet = printed(member, begun(member))

    pages, root = [words(page) for page in booklet.pages], booklet.trailer["/Root"]
    assert root["/Lang"] == "en" and root["/MarkInfo"]["/Marked"] and "/StructTreeRoot" in root
    assert booklet.metadata.title == "Safety booklet"

    assert "Safety booklet" in pages[0] and f"by {member.person}" in pages[0]
    assert "Plate on +, cathode on −." in pages[1]
    titles = ["Upright tank", "W1", "Blue crystals"]
    assert [title for title in titles if title not in pages[0]] == []
    assert len(pages) == 2 + len(titles)
    for title, page in zip(titles, pages[2:], strict=True):
        assert title in page and "rinse" in page.lower()
    assert "Acetone" not in " ".join(pages)
    assert "Wall sheet 1 Upright tank 2 W1 3 Blue crystals 4" in pages[0]


def test_while_it_is_printed_its_page_asks_again_by_itself_with_or_without_a_script(
    member, shelf, django_assert_max_num_queries
):
    address = begun(member)

    with django_assert_max_num_queries(MOST_QUERIES):
        shown = member.get(address).content.decode()
    piece = member.get(address, headers={"HX-Request": "true"}).content.decode()

    assert '<meta http-equiv="refresh"' in shown and 'hx-trigger="every 1s"' in shown
    assert "<html" not in piece and 'hx-trigger="every 1s"' in piece


def test_an_empty_studio_prints_the_wall_sheet_and_once_printed_its_page_asks_no_more(member, studio):
    address = begun(member)

    pages = printed(member, address).pages

    assert ["Wall sheet" in words(page) for page in pages] == [True, True]
    shown = member.get(address).content.decode()

    assert "The list and 1 sheet." in shown
    assert "refresh" not in shown and "hx-get" not in shown


def test_who_asks_while_one_is_printed_is_led_to_it(member, keyholder, shelf):
    address = begun(member)

    assert begun(keyholder) == address
    assert address in keyholder.get(PAGE).content.decode()


def test_a_booklet_that_stopped_can_be_tried_again(member, shelf):
    job = PrintJob.objects.create(title="Safety booklet", page="A4", parts=1, state=PrintJob.State.FAILED)

    shown = member.get(reverse("safety:booklet_job", args=[job.key])).content.decode()

    assert "not printed" in shown and PAGE in shown
    assert member.get(reverse("safety:booklet_paper", args=[job.key])).status_code == 404


def test_a_booklet_nobody_began_is_not_in_the_book(member):
    assert member.get(reverse("safety:booklet_job", args=[uuid.uuid4()])).status_code == 404


def test_without_pango_it_says_what_is_missing(member, monkeypatch):
    monkeypatch.setattr(pango, "is_here", lambda: False)

    assert member.get(PAGE).status_code == 503


def test_making_it_ready_takes_few_queries_however_much_stands_here(member, shelf, django_assert_max_num_queries):
    for number in range(12):
        put(made_of(("acetone", 100, 100), name=f"Solvent {number}"), "1 kg", shelf.place)

    with django_assert_max_num_queries(30):
        begun(member)
