"""A household or a business, asked once: the months, the drum, the bench, the calendar and the folder follow it."""

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from chemistry import waste
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO
from chemistry.waste.rules import SHIPPED
from inventory.models import Entry
from studio.safety.folder import Folder
from studio.waste import advice, content, limits, months, reminders, threshold_warnings
from studio.waste.content import contents_here
from studio.waste.flags import flags_of_drum, where_to_answer
from studio.waste.models import LocalAdvice
from studio.workshop.models import Workshop
from tests.factories import PersonFactory, WorkshopFactory, day, settings_of
from tests.studio.waste.shop import drum, put, said

pytestmark = pytest.mark.django_db

Kind = LocalAdvice.Kind
WHOSE = ("household", "business", "")
# what binds whoever is no household: rule, region
BINDING = [
    ("us.container", "us"),
    ("us.record", "us"),
    ("us.shipping", "us"),
    ("eu.record", "eu"),
    ("gb.consignment", "gb"),
    ("gb.record", "gb"),
    ("gb.sewer", "gb"),
]


def counted(kg=95, at=10):
    said(Kind.HAZARDOUS, stream="bath_mud")
    said(Kind.HAZARDOUS, stream="rinse")
    vessel = drum("bath_mud", capacity_l=5000)
    put(vessel, grams=1000 * kg, at=at)
    return vessel


def asked(workshop, at=20):
    return {item.word: item for item in threshold_warnings.action_items(contents_here(day(at)), workshop, day(at))}


def test_a_duty_of_a_business_binds_no_household_and_needs_info_until_somebody_says():
    said(Kind.HAZARDOUS, stream="rinse")
    put(rinse := drum("rinse"), 2)
    held = content.content_of_drum(rinse)

    for whose, expected in zip(WHOSE, (DOES_NOT_APPLY, APPLIES, NEEDS_INFO), strict=True):
        for rule, region in BINDING:
            studio = WorkshopFactory.build(region=region, waste_from=whose)
            (flag,) = (flag for flag in flags_of_drum(held, studio).flags if flag.rule_id == rule)
            assert flag.state == expected, (whose, rule)


def test_what_is_asked_of_the_studio_is_answered_on_its_page():
    vessel = drum("rinse")

    for key in ("is_household", "acute_month_kg", "acute_spill_month_kg", "us_state"):
        assert where_to_answer(vessel, [key])[1] == reverse("workshop:change")


@pytest.mark.parametrize(
    ("whose", "acute", "applying"),
    [
        ("business", "none", ["us.month.very_small"]),
        ("business", "some", []),
        ("business", "", []),
        ("household", "", ["us.month.household"]),
        ("", "none", []),
    ],
)
def test_a_month_has_its_category_once_both_questions_are_answered(whose, acute, applying):
    counted(kg=60, at=2)
    (month,) = months.months(day(20), advice.told(date(2026, 3, 22)), how_many=1)
    studio = WorkshopFactory.build(region="us", waste_from=whose, acute_waste=acute)

    found = {flag.rule_id: flag.state for flag in month.flags(waste.rule_sets_for("us"), studio, (60, 61))}

    assert [rule for rule, state in found.items() if state == APPLIES] == applying
    if whose != "household":
        assert (found["us.month.very_small"] == NEEDS_INFO) is (not applying)
    else:
        assert found == {"us.month.household": APPLIES}


@pytest.mark.parametrize(("whose", "is_near"), [("household", False), ("business", True), ("", True)])
def test_no_amount_comes_near_for_a_household(whose, is_near):
    counted(at=10)

    assert ("threshold near" in asked(WorkshopFactory.build(region="us", waste_from=whose))) is is_near


@pytest.mark.parametrize(("whose", "days"), [("household", {365}), ("business", {150, 365}), ("", {150, 365})])
def test_a_household_has_no_hundred_and_eighty_days(whose, days):
    vessel, told = counted(kg=120, at=10), advice.told(date(2026, 3, 22))
    held, month = content.content_of_drum(vessel, day(20)), months.this_month(day(20), told)

    found = limits.of_drums([held], month, told, WorkshopFactory.build(region="us", waste_from=whose), day(20))

    assert {limit.days for limit in found} == days


def test_the_bench_asks_whose_waste_it_is_and_a_household_for_its_collection_day():
    nobody, home, shop = (
        WorkshopFactory.build(region="eu", waste_from=whose) for whose in ("", "household", "business")
    )
    assert "whose waste" not in asked(nobody)  # nothing has gone into a drum yet

    put(drum("rinse"), 2)

    assert asked(nobody)["whose waste"].url.startswith(reverse("workshop:change"))
    assert "whose waste" not in asked(home) | asked(shop)
    assert "collection day" in asked(home) and "collection day" not in asked(nobody) | asked(shop)
    said(Kind.COLLECTION, next_on=date(2026, 4, 4))
    assert "collection day" not in asked(home)


@pytest.mark.parametrize(
    ("region", "whom"),
    [
        ("us", "your county’s or city’s household hazardous waste programme"),
        ("eu", "your municipality"),
        ("gb", "your council"),
        ("elsewhere", "whoever collects where you are"),
    ],
)
def test_a_household_is_sent_to_who_collects_where_it_is(region, whom):
    put(drum("rinse"), 2)

    assert whom in asked(WorkshopFactory.build(region=region, waste_from="household"))["collection day"].sentence


def test_only_great_britain_is_told_of_a_council_without_being_told_that_it_is_there():
    told = [rule for name in ("generic", "us-federal", "eu") for rule in SHIPPED[name].rules if "council" in rule.text]

    assert [rule.id for rule in told if "Great Britain" not in rule.text] == []


@pytest.mark.parametrize(
    ("whose", "words"), [("household", "Household collection: "), ("business", "Waste collection: ")]
)
def test_the_calendar_says_whose_collection_it_is(whose, words):
    said(Kind.COLLECTION, next_on=timezone.localdate())

    found = reminders.due(
        WorkshopFactory.build(region="us", waste_from=whose), PersonFactory(), sees_everybody=True, now=timezone.now()
    )

    assert [reminder.words for reminder in found] == [f"{words}City waste office"]


@pytest.mark.parametrize(("whose", "is_gap"), [("household", False), ("business", False), ("", True)])
def test_the_folder_counts_it_as_a_gap_until_somebody_says(whose, is_gap):
    gaps = " ".join(Folder(WorkshopFactory.build(region="gb", waste_from=whose)).gaps)

    assert ("household or a business" in gaps) is is_gap


def test_it_is_said_on_the_studio_page_and_told_by_its_history(keyholder, studio):
    keyholder.post(reverse("workshop:change"), settings_of(studio, waste_from="household"))

    studio.refresh_from_db()
    assert studio.is_household is True
    assert "its waste is that of" in Entry.objects.latest("pk").subject
    page = keyholder.get(reverse("workshop:studio")).content.decode()
    assert str(Workshop.WasteFrom.HOUSEHOLD.label) in page
    assert WorkshopFactory.build(waste_from="").is_household is None
