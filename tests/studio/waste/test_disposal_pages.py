"""The pages and papers of what left."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.book import strike
from inventory.models import Entry
from studio.baths import operations as baths
from studio.printing import papers
from studio.waste import incidents, record
from studio.waste.models import Deposit, Disposal, DisposalItem, ReceiverPaper, Refusal
from studio.waste.record import Record
from tests.factories import adopted, signed
from tests.studio.waste.shop import drum, handed_over, paper_of, put, reported

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_COLD, MOST_QUERIES_ONCE_KEPT = 10, 15, 5


def url(page, *args):
    return reverse(f"waste:{page}", args=args)


def post(browser, page, *args, **typed):
    return browser.post(url(page, *args), {"key": uuid4(), "half_width_g": "50"} | typed)


def errors(response, field):
    return " ".join(response.context["form"].errors.get(field, []))


def text(response):
    return " ".join(response.content.decode().split())


@pytest.fixture
def full():
    """A drum of rinse with something in it."""
    made = drum(tare_g=1000)
    put(made, 4.5)
    return made


def carrier(**more):
    return {"route": "collector", "receiver": "Quarry Lane Carriers", "awaits_copy": "on"} | more


def going(one, **more):
    return {f"goes-{one.pk}": "all", f"before-{one.pk}_0": "5.6", f"before-{one.pk}_1": "kg"} | more


def a_pdf():
    from tests.studio.printing.test_uploaded_pdf import sheet

    return SimpleUploadedFile("ticket.pdf", sheet(), content_type="application/pdf")


# handing over


def test_a_keyholder_hands_a_drum_over(keyholder, full):
    response = post(keyholder, "hand_over", **carrier(document_number="N 4711", cost_cents="12,50"), **going(full))

    disposal = Disposal.objects.get()
    assert response.headers["Location"] == disposal.get_absolute_url()
    assert (disposal.document_number, disposal.cost_cents, disposal.currency) == ("N 4711", 1250, "EUR")
    assert disposal.entry.done_by == keyholder.person
    assert DisposalItem.objects.get().net_g == pytest.approx(4600)
    assert disposal.counted_to.day == 1
    assert disposal.keep_until.year == disposal.handed_over_at.year + 5


def test_a_double_tap_hands_over_once(keyholder, full):
    key = uuid4()

    for _ in range(2):
        response = post(keyholder, "hand_over", key=key, **carrier(), **going(full))

    assert response.headers["Location"] == Disposal.objects.get().get_absolute_url()


def test_a_drum_that_left_is_gone_and_leads_to_its_record(keyholder, full):
    disposal = handed_over(full)

    shown = text(keyholder.get(full.get_absolute_url()))
    assert "gone" in shown and disposal.get_absolute_url() in shown
    assert "Answer it" not in shown and "Put something in" not in shown
    for page in ("deposit", "pour_over", "look_over", "weigh", "test", "find"):
        shown = text(keyholder.get(url(page, full.pk)))
        assert f"{full} is gone" in shown and disposal.get_absolute_url() in shown
        assert "<form" not in shown.partition("<main")[2].partition("</main>")[0]


def test_a_line_of_a_drum_that_left_says_before_anything_is_typed_that_it_stays(keyholder, full):
    line = Deposit.objects.get().entry
    disposal = handed_over(full)

    shown = text(keyholder.get(reverse("book:strike", args=[line.pk])))

    assert f"{full} has left: {disposal}" in shown
    assert url("correct", disposal.pk) in shown
    assert "What stops counting" not in shown


def test_the_page_of_a_drum_leads_to_handing_it_over(keyholder, member, full):
    address = f"{url('hand_over')}?drum={full.pk}"

    assert address in text(keyholder.get(full.get_absolute_url()))
    assert address not in text(member.get(full.get_absolute_url()))
    assert keyholder.get(address).context["form"][f"goes-{full.pk}"].value() == "all"


def test_only_a_part_is_poured_out(keyholder, full):
    part = {f"goes-{full.pk}": "part", f"part-{full.pk}_0": "2", f"part-{full.pk}_1": "L", f"before-{full.pk}_0": ""}

    post(keyholder, "hand_over", **carrier(), **going(full, **part))

    assert DisposalItem.objects.get().litres == pytest.approx(2)
    assert full.name in text(keyholder.get(url("drums")))


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"route": ""}, "route", "Needed: choose one"),
        ({"receiver": ""}, "receiver", "Say who takes it"),
        ({"route": "scrap"}, "route", "only solid, dry copper goes as scrap metal"),
        ({"route": "sewer"}, "permission", "permission in writing"),
        ({"goes": "stays"}, "goes", "Something is written beside it"),
        ({"goes": "stays", "before": ""}, "__all__", "Say which drums go"),
        ({"goes": "part"}, "part", "Say how much is poured out"),
        ({"goes": "part", "part": "9"}, "part", ""),
        ({"before": "heavy"}, "before", "is not an amount"),
        ({"before": "1", "after": "2"}, "after", "That is more than before"),
        ({"before": "", "after": "2"}, "before", "Say what it weighed before"),
        ({"cost_cents": "a lot"}, "cost_cents", "is not"),
        ({"half_width_g": "0"}, "half_width_g", "is outside"),
        ({"happened_at": "2199-01-01T10:00"}, "happened_at", "has not come yet"),
    ],
)
def test_bad_input_has_its_own_sentence_and_nothing_is_half_written(keyholder, full, typed, field, sentence):
    before = Entry.objects.count()
    own = {
        "goes": f"goes-{full.pk}",
        "before": f"before-{full.pk}_0",
        "after": f"after-{full.pk}_0",
        "part": f"part-{full.pk}_0",
    }
    units = {f"after-{full.pk}_1": "kg", f"part-{full.pk}_1": "L"}

    response = post(
        keyholder,
        "hand_over",
        **carrier() | going(full) | units | {own.get(name, name): value for name, value in typed.items()},
    )

    assert response.status_code == 200
    names = {
        "goes": f"goes-{full.pk}",
        "before": f"before-{full.pk}",
        "after": f"after-{full.pk}",
        "part": f"part-{full.pk}",
    }
    shown = errors(response, names.get(field, field)) or errors(response, "__all__")
    assert shown and sentence in shown
    assert Entry.objects.count() == before and not Disposal.objects.exists()


def test_where_nothing_is_in_any_drum_the_page_says_so(keyholder):
    drum()

    assert "No drum here has anything in it" in text(keyholder.get(url("hand_over")))


# the record


def test_the_record_says_what_is_missing(keyholder, full):
    shown = text(keyholder.get(handed_over(full).get_absolute_url()))

    assert "receipt awaited" in shown and "needs info" in shown
    assert "Quarry Lane Carriers" in shown and "4.6 ± 0." in shown


def test_a_changed_book_is_said_on_the_record(member):
    bath = adopted()
    spilled = baths.drips(bath, plates=30, by=signed(0.5))
    one = drum()
    put(one, 4, source=Deposit.Source.RINSE)
    disposal = handed_over(one)
    assert "The book has changed since" not in text(member.get(disposal.get_absolute_url()))

    strike(spilled, by=signed(9), reason="another bath")

    shown = text(member.get(disposal.get_absolute_url()))
    assert "The book has changed since" in shown
    assert "W1, copper:" in shown


def test_a_strike_of_a_record_is_refused_on_its_page(keyholder, full):
    disposal = handed_over(full)

    response = keyholder.post(reverse("book:strike", args=[disposal.entry.pk]), {"reason": "wrong weight"})

    assert f"{disposal} stays as it was written at handover" in text(response)


def test_a_further_record_begins_with_the_wrong_one(keyholder, full):
    wrong = handed_over(full, document_number="N 4711")
    form = keyholder.get(url("correct", wrong.pk)).context["form"]
    assert form["document_number"].value() == "N 4711"

    typed = carrier(document_number="N 4712", why="their number") | {f"went-{full.pk}": "on"}
    response = post(keyholder, "correct", wrong.pk, **typed)

    right = Disposal.objects.get(corrects=wrong)
    assert response.headers["Location"] == right.get_absolute_url()
    assert right.document_number == "N 4712"
    assert f"corrected by {right}" in text(keyholder.get(wrong.get_absolute_url()))
    assert f'It corrects <a href="{wrong.get_absolute_url()}">{wrong}</a>: their number.' in text(
        keyholder.get(right.get_absolute_url())
    )


def test_a_drum_that_came_back_is_here_again(keyholder, full):
    disposal = handed_over(full)

    response = post(keyholder, "refused", full.pk, by_whom="Quarry Lane Carriers", why="the wrong code")

    assert response.headers["Location"] == full.get_absolute_url()
    assert Refusal.objects.get().handed.disposal == disposal
    assert "brought back by Quarry Lane Carriers: the wrong code" in text(keyholder.get(disposal.get_absolute_url()))


# their papers


def test_their_signed_copy_with_its_scan_ends_the_waiting(keyholder, full):
    disposal = handed_over(full)

    post(keyholder, "their_paper", disposal.pk, is_signed_copy="on", number="T 9", file=a_pdf())

    paper = ReceiverPaper.objects.get()
    assert "receipt awaited" not in text(keyholder.get(disposal.get_absolute_url()))
    response = keyholder.get(url("scan", paper.pk))
    assert b"".join(response.streaming_content).startswith(b"%PDF-")
    assert response.headers["Content-Type"] == "application/pdf"
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"


def test_a_scan_that_is_no_plain_pdf_stays_outside(keyholder, full):
    disposal = handed_over(full)
    picture = SimpleUploadedFile("scan.pdf", b"\x89PNG....", content_type="application/pdf")

    response = post(keyholder, "their_paper", disposal.pk, is_signed_copy="on", file=picture)

    assert "nor a photograph" in errors(response, "file")
    assert not ReceiverPaper.objects.exists()


def test_a_paper_says_something(keyholder, full):
    response = post(keyholder, "their_paper", handed_over(full).pk)

    assert "Say what came" in errors(response, "__all__")


@pytest.mark.parametrize(
    ("theirs", "word"),
    [("4.8", "within the scales"), ("6", "apart")],
)
def test_their_weight_stands_beside_ours_and_is_judged_by_the_scales(keyholder, full, theirs, word):
    post(keyholder, "hand_over", **carrier(), **going(full))
    disposal = Disposal.objects.get()

    post(keyholder, "their_paper", disposal.pk, weight_g_0=theirs, weight_g_1="kg", half_width_g="500")

    shown = text(keyholder.get(disposal.get_absolute_url()))
    assert word in shown and "4.60 ± 0.07 kg" in shown
    assert DisposalItem.objects.get().net_g == pytest.approx(4600)


def test_a_weight_with_vessels_is_set_beside_ours_with_vessels(full):
    disposal = handed_over(full)
    DisposalItem.objects.get()
    paper = ReceiverPaper(weight_g=5600, half_width_g=500, with_vessels=True)

    weights = record.WeightComparison(Record(disposal).lines, paper)

    assert weights.ours is None and weights.status.word == "needs info"


# pages


def test_the_list_shows_what_is_awaited(keyholder, full):
    disposal = handed_over(full)

    shown = text(keyholder.get(url("disposals")))

    assert disposal.get_absolute_url() in shown and "receipt awaited" in shown


@pytest.mark.parametrize("page", ["disposals", "hand_over"])
def test_a_studio_that_handed_nothing_over_sees_the_next_step(keyholder, page):
    assert keyholder.get(url(page)).status_code == 200


def test_pages_ask_the_database_few_questions(keyholder, full, django_assert_max_num_queries):
    other = drum(name="W4", kind="cleaner_used")
    put(other, 3)
    disposal = handed_over(full)
    bounds = {
        "disposals": ([], MOST_QUERIES),
        "hand_over": ([], MOST_QUERIES_COLD),
        "disposal": ([disposal.pk], MOST_QUERIES_COLD),
        "correct": ([disposal.pk], MOST_QUERIES_COLD),
        "their_paper": ([disposal.pk], MOST_QUERIES),
        "refused": ([full.pk], MOST_QUERIES),
        "log": ([], MOST_QUERIES_COLD),
    }

    for page, (args, most) in bounds.items():
        with django_assert_max_num_queries(most):
            assert keyholder.get(url(page, *args)).status_code == 200


@pytest.mark.parametrize("page", ["disposals", "disposal"])
def test_what_was_read_once_is_kept(keyholder, full, django_assert_max_num_queries, page):
    args = [handed_over(full).pk] if page == "disposal" else []
    keyholder.get(url(page, *args))

    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        keyholder.get(url(page, *args))


def test_members_read_and_do_not_hand_over(member, full):
    disposal = handed_over(full)

    shown = text(member.get(disposal.get_absolute_url()))

    assert "Write a further record" not in shown and "came back" not in shown
    assert member.get(url("hand_over")).status_code == 403


# the log, and papers


def test_the_log_tells_what_was_done_the_latest_first(member, full, today):
    handed_over(full)
    today(6)

    shown = text(member.get(url("log")))

    assert shown.index("handed over") < shown.index("4.5 L of plate rinse water") < shown.index("set up")


def test_a_long_log_is_read_page_by_page(member, today):
    for number in range(40):
        drum(name=f"W{number}")
    today(6)

    first, second = (text(member.get(url("log"), {"page": page})) for page in (1, 2))

    assert first.count("for Plate rinse water") == 30 and "page=2" in first
    assert second.count("for Plate rinse water") == 10 and "page=1" in second


def printed(browser, page, *args):
    from pypdf import PdfReader

    response = browser.get(url(page, *args))
    assert response.headers["Content-Type"] == "application/pdf"
    return " ".join(page.extract_text() for page in PdfReader(BytesIO(response.content)).pages)


@pytest.mark.skipif(papers.available() is not None, reason="no Pango here")
def test_the_papers_print(member, full, today):
    other = drum(name="W4", kind="cleaner_used")
    disposal = handed_over(full)
    today(6)

    assert "Quarry Lane Carriers" in printed(member, "disposal_paper", disposal.pk)
    assert "handed over" in printed(member, "log_paper")
    assert other.name in printed(member, "look_over_sheet")


@pytest.mark.skipif(papers.available() is not None, reason="no Pango here")
@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_a_record_is_signed_on_the_page_that_says_what_is_signed(member, studio, full, today, page):
    from pypdf import PdfReader

    type(studio)._base_manager.update(paper=page)
    disposal = handed_over(full)
    today(6)

    (sheet,) = PdfReader(BytesIO(member.get(url("disposal_paper", disposal.pk)).content)).pages

    assert "Taken by" in sheet.extract_text()


# the bench


def test_the_bench_asks_for_the_receipt_and_for_open_incidents(keyholder, full):
    disposal, incident = handed_over(full), reported()

    shown = text(keyholder.get(reverse("bench:needs")))

    assert (
        f"{disposal} of 7 March 2026: Quarry Lane Carriers sent no signed copy yet." in shown
        and disposal.get_absolute_url() in shown
    )
    assert "The jug tipped over." in shown and incident.get_absolute_url() in shown


def test_the_bench_stops_asking_once_both_are_settled(keyholder, full):
    paper_of(handed_over(full))
    incidents.follow_up(reported(), words="Mopped.", closes=True, by=signed(2))

    shown = text(keyholder.get(reverse("bench:needs")))

    assert "receipt awaited" not in shown and "incident open" not in shown


def test_an_entry_tells_which_drums_went_and_leads_to_the_record(full):
    disposal = handed_over(full)

    assert [(each.what, each.how) for each in disposal.entry.changes()] == [(str(disposal), "W1 went")]
    assert [each.how for each in paper_of(disposal).entry.changes()] == ["their signed copy came"]
