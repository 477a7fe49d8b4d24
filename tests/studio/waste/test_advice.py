"""What a studio was told: written down by whom and when, put to use as its own rules."""

from datetime import date, timedelta
from io import BytesIO
from uuid import uuid4

import pytest
from django.db import IntegrityError
from django.urls import reverse
from django.utils import timezone

from chemistry import waste
from inventory.book import strike
from inventory.refusals import Refused
from studio.waste import advice
from studio.waste.models import LocalAdvice
from tests.factories import signed
from tests.studio.waste.shop import said

pytestmark = pytest.mark.django_db

Kind = LocalAdvice.Kind
TODAY = date(2026, 3, 20)
MOST_QUERIES = 10


def url(page, *args):
    return reverse(f"waste:{page}", args=args)


def typed(**answers):
    usual = {"asked": "Harbour Water", "answer": "at most 1 mg in a litre", "said_on": "2026-03-02"}
    return {"key": uuid4()} | usual | answers


def test_an_answer_becomes_a_rule_of_the_studios_own():
    said(Kind.SEWER_LIMIT, cu_mg_per_l=1.0, asked="Harbour Water", said_on=date(2026, 1, 12), is_written=True)

    (rule,) = advice.told(TODAY).rules.rules

    assert str(rule.when) == "dissolved copper above 1 mg/L"
    assert rule.citation == "told by Harbour Water, in writing, on 12 January 2026"
    assert rule.evidence == "told"


def test_a_limit_that_was_told_is_judged_beside_the_rules_of_the_region():
    said(Kind.SEWER_LIMIT, cu_mg_per_l=1.0)
    rules = advice.told(TODAY).rules

    states = {
        copper: next(flag for flag in waste.flags({"cu_mg_per_l": copper}, [rules]) if flag.rule_set == "local").state
        for copper in (1, 1.01, None)
    }

    assert states == {1: "does not apply", 1.01: "applies", None: "needs info"}


def test_the_latest_limit_goes_before_the_one_before_it():
    said(Kind.SEWER_LIMIT, cu_mg_per_l=3.0, said_on=date(2026, 1, 12))
    said(Kind.SEWER_LIMIT, cu_mg_per_l=0.5, said_on=date(2026, 3, 2))

    told = advice.told(TODAY)

    assert told.sewer_limit.cu_mg_per_l == 0.5
    assert len(told.rules.rules) == 1


def test_an_answer_about_one_kind_of_waste_says_nothing_of_another():
    said(Kind.ANSWER, stream="rinse", answer="Bring it in a pail.")
    rules = advice.told(TODAY).rules

    def state(kind):
        return next(flag for flag in waste.flags({"kind": kind}, [rules]) if flag.rule_set == "local").state

    assert (state("rinse"), state("cleaner_used")) == ("applies", "does not apply")


def test_what_somebody_decided_last_counts():
    said(Kind.HAZARDOUS, stream="rinse", said_on=date(2026, 1, 1))
    said(Kind.NOT_HAZARDOUS, stream="rinse", said_on=date(2026, 2, 1))

    told = advice.told(TODAY)

    assert told.counts_as_hazardous("rinse") is False
    assert told.counts_as_hazardous("bath_spent") is None
    assert "permits no pouring" in told.rules.rules[0].text


def test_a_permission_ends_with_its_last_day():
    said(Kind.TREATMENT, stream="rinse", method="soda_ash", is_written=True, until_on=TODAY)

    assert [each.method for each in advice.told(TODAY).permitted("rinse")] == ["soda_ash"]
    assert advice.told(TODAY + timedelta(days=1)).permitted("rinse") == []


def test_what_is_struck_holds_no_longer():
    entry = said(Kind.TREATMENT, stream="rinse", method="soda_ash", is_written=True)

    strike(entry, by=signed(20), reason="it was for another studio")

    assert advice.told(TODAY).permitted("rinse") == []


@pytest.mark.parametrize(
    ("kind", "facts", "field"),
    [
        (Kind.SEWER, {"stream": "rinse"}, "is_written"),
        (Kind.TREATMENT, {"stream": "rinse", "method": "iron"}, "is_written"),
        (Kind.TREATMENT, {"stream": "rinse", "is_written": True}, "method"),
        (Kind.TREATMENT, {"method": "iron", "is_written": True}, "stream"),
        (Kind.HAZARDOUS, {}, "stream"),
        (Kind.SEWER_LIMIT, {}, "cu_mg_per_l"),
        (Kind.ANSWER, {"said_on": date(2199, 1, 1)}, "said_on"),
        (Kind.ANSWER, {"until_on": date(2025, 1, 1)}, "until_on"),
    ],
)
def test_what_would_settle_nothing_is_refused(kind, facts, field):
    with pytest.raises(Refused) as refusal:
        said(kind, **facts)

    assert refusal.value.field == field
    assert not LocalAdvice.objects.exists()


def test_the_database_itself_keeps_permissions_to_what_is_written():
    entry = said(Kind.ANSWER)

    with pytest.raises(IntegrityError):
        LocalAdvice.objects.create(
            entry=entry, kind=Kind.SEWER, asked="somebody", answer="yes", said_on=date(2026, 3, 2), is_written=False
        )


# pages


def test_a_keyholder_writes_down_what_was_said(keyholder):
    response = keyholder.post(url("add_advice", "sewer-limit"), typed(cu_mg_per_l="1,5"))

    one = LocalAdvice.objects.get()
    assert response.headers["Location"] == one.get_absolute_url()
    assert (one.cu_mg_per_l, one.asked, one.said_on) == (1.5, "Harbour Water", date(2026, 3, 2))
    assert b"1.5 mg/L" in keyholder.get(one.get_absolute_url()).content


def test_a_double_tap_writes_it_once(keyholder):
    answers = typed(cu_mg_per_l="1")

    for _ in range(2):
        response = keyholder.post(url("add_advice", "sewer-limit"), answers)

    assert response.status_code == 302
    assert LocalAdvice.objects.count() == 1


@pytest.mark.parametrize("kind", Kind.values)
def test_an_empty_answer_is_explained(keyholder, kind):
    response = keyholder.post(url("add_advice", kind), {"key": uuid4()})

    assert response.context["form"].errors["answer"] == ["Needed: fill this in."]
    assert not LocalAdvice.objects.exists()


@pytest.mark.parametrize(
    ("kind", "answers", "field", "sentence"),
    [
        ("sewer-limit", {"cu_mg_per_l": "none"}, "cu_mg_per_l", "none"),
        ("sewer-limit", {"cu_mg_per_l": "0"}, "cu_mg_per_l", "outside"),
        ("treatment", {"stream": "rinse", "method": "iron"}, "is_written", "once it is in writing"),
        ("hazardous", {}, "stream", "choose one"),
        ("answer", {"said_on": "2199-01-01"}, "said_on", "has not come yet"),
        ("answer", {"until_on": "2001-01-01"}, "until_on", "cannot end before"),
    ],
)
def test_a_wrong_answer_is_explained_beside_its_field(keyholder, kind, answers, field, sentence):
    response = keyholder.post(url("add_advice", kind), typed(**answers))

    assert sentence in " ".join(response.context["form"].errors[field])
    assert not LocalAdvice.objects.exists()


def test_a_member_reads_what_was_said_and_writes_none(member):
    said(Kind.ANSWER)

    assert member.get(url("advice")).status_code == 200
    assert member.get(url("add_advice", "answer")).status_code == 403


def test_there_is_no_page_for_an_answer_of_no_kind(keyholder):
    assert keyholder.get(url("add_advice", "rumour")).status_code == 404


def test_their_letter_is_kept_and_handed_over(keyholder, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    keyholder.post(url("add_advice", "answer"), typed(document=letter()))

    one = LocalAdvice.objects.get()
    response = keyholder.get(url("advice_document", one.pk))

    assert len(one.sha256) == 64
    assert response.headers["Content-Disposition"].startswith("attachment")
    assert b"".join(response.streaming_content).startswith(b"%PDF-")


def test_a_letter_that_is_no_pdf_is_refused(keyholder):
    file = BytesIO(b"dear studio")
    file.name = "letter.pdf"

    response = keyholder.post(url("add_advice", "answer"), typed(document=file))

    assert "not a PDF" in response.context["form"].errors["document"][0]


def test_a_struck_answer_leads_to_why(keyholder):
    entry = said(Kind.ANSWER)
    strike(entry, by=signed(1), reason="misheard")

    response = keyholder.get(url("one_advice", entry.advice.get().pk))

    assert response.headers["Location"] == entry.get_absolute_url()


@pytest.mark.parametrize("page", ["advice", "rule_sets"])
def test_a_page_asks_the_database_little(member, django_assert_max_num_queries, page):
    for kind in (Kind.ANSWER, Kind.COLLECTION):
        said(kind)

    with django_assert_max_num_queries(MOST_QUERIES):
        assert member.get(url(page)).status_code == 200


def test_the_rules_of_the_region_stand_with_their_sources(member, studio):
    studio.region = "us"
    studio.save_base()

    page = member.get(url("rule_sets")).content.decode()

    assert "40 CFR 261.22(a)(1)" in page
    assert "suggested; local rules decide" in page
    assert "No rule set for your region yet" not in page


def test_where_the_region_has_no_rules_the_cautions_stay_on(member, studio):
    studio.region = "elsewhere"
    studio.save_base()

    page = member.get(url("rule_sets")).content.decode()

    assert "No rule set for your region yet: ask" in page
    assert "To a sewer only within a limit for copper that its operator gave you in writing" in page


def test_what_somebody_said_today_can_be_written_today():
    said(Kind.ANSWER, said_on=timezone.localdate())

    assert LocalAdvice.objects.count() == 1


def letter() -> BytesIO:
    from pypdf import PdfWriter

    writer, file = PdfWriter(), BytesIO()
    writer.add_blank_page(100, 100)
    writer.write(file)
    file.seek(0)
    file.name = "letter.pdf"
    return file


def test_the_book_tells_what_was_said():
    (change,) = said(Kind.HAZARDOUS, stream="rinse").changes()

    assert change.how == "it counts as hazardous waste, Plate rinse water"
