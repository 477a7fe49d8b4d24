"""What the rules say of a drum, from what is known of it; and what to measure where it is not known."""

import re
from uuid import uuid4

import pytest
from django.urls import reverse

from chemistry import waste
from chemistry.waste.drum import poured
from chemistry.waste.evaluation import APPLIES, DOES_NOT_APPLY, NEEDS_INFO
from inventory.book import strike
from inventory.refusals import Refused
from studio.waste import content, models, operations, sources
from studio.waste.flags import flags_of_drum, level
from studio.waste.models import Finding, LocalAdvice
from studio.waste.operations import DepositRequest
from tests.factories import WorkshopFactory, adopted, bitten, day, jug, signed
from tests.studio.waste.shop import KEYHOLDER, drum, found_out, put, said

pytestmark = pytest.mark.django_db

MOST_QUERIES, MOST_QUERIES_ONCE_KEPT = 15, 5
FUTURE = 20


def flags_of(vessel, region="us", us_state="", at=FUTURE):
    workshop = WorkshopFactory.build(region=region, us_state=us_state)
    return flags_of_drum(content.content_of_drum(vessel, day(at)), workshop, day(at))


def state(vessel, rule, **where):
    return next(flag.state for flag in flags_of(vessel, **where).flags if flag.rule_id == rule)


def measured(vessel, quantity, low, high=None, at=2):
    result = models.TestResult(
        quantity=quantity, low=low, high=low if high is None else high, how=models.TestResult.How.STRIP
    )
    operations.record_test(vessel, result=result, by=signed(at))


@pytest.fixture
def spent():
    """Two litres out of a bath of 200 g/L."""
    bath, into = adopted(acid_g_per_l=0, strength_g_per_l=200), drum("bath_spent")
    sources.take_out(bath, jug(2), into=DepositRequest(drum=into, kind="bath_spent"), by=signed(1))
    return into


@pytest.fixture
def rinse():
    """Four litres of nobody knows how much copper."""
    vessel = drum("rinse")
    put(vessel, 4)
    return vessel


def test_what_came_out_of_a_bath_is_judged_by_the_strength_of_the_bath(spent):
    assert state(spent, "eu.hp4", region="eu") == APPLIES
    assert state(spent, "eu.hp14.chronic", region="eu") == APPLIES
    assert state(spent, "eu.hp6", region="eu") == DOES_NOT_APPLY
    assert state(spent, "generic.copper.sewer") == APPLIES
    assert state(spent, "us.tc.no_copper") == APPLIES


def test_an_example_state_lists_copper_where_the_studio_stands_in_it(spent):
    assert state(spent, "us-ca.copper.soluble", us_state="CA") == APPLIES
    assert state(spent, "us-ca.copper.soluble", us_state="OR") == DOES_NOT_APPLY
    assert state(spent, "us-ca.copper.soluble") == NEEDS_INFO


def test_ph_is_asked_for_until_somebody_measures_it(spent):
    assert state(spent, "us.sewer.ph") == NEEDS_INFO
    (need,) = (need for need in flags_of(spent).needs if need.name == "pH")
    assert need.url.startswith(reverse("waste:test", args=[spent.pk]))

    measured(spent, "ph", 5.5)

    assert state(spent, "us.sewer.ph") == DOES_NOT_APPLY
    # a second test is its own: whether it eats steel nobody has said
    assert state(spent, "us.d002") == NEEDS_INFO


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        (2, 2, APPLIES),
        (2.1, 2.1, NEEDS_INFO),
        (1.5, 2.5, NEEDS_INFO),
        (12.4, 12.4, NEEDS_INFO),
        (13, 14, APPLIES),
    ],
)
def test_a_reading_is_judged_on_both_sides_of_a_limit(spent, low, high, expected):
    measured(spent, "ph", low, high)

    assert state(spent, "us.d002") == expected


def test_copper_nobody_measured_needs_info_and_never_reads_as_clear(rinse):
    flags = flags_of(rinse)

    of_sewer = next(flag for flag, _ in flags.of_water.undecided if flag.rule_id == "generic.copper.sewer")
    assert flags.copper_mg_per_l is None
    assert of_sewer.state == NEEDS_INFO
    assert level(of_sewer) == "look"
    assert {need.label for need in flags.needs if need.name == "Dissolved copper"} == {"Note a test"}


def test_a_strip_test_stands_for_the_copper_until_something_goes_in(rinse):
    measured(rinse, "cu_mg_per_l", 100, 300)
    assert flags_of(rinse).copper_mg_per_l == (100, 300)

    put(rinse, 2, at=4)

    assert flags_of(rinse).copper_mg_per_l is None


# what a rinse is by its kind, its age and its copper; whatever else was in it nobody has said
KNOWN_OF_A_RINSE = {
    "is_aqueous",
    "is_unused_product",
    "is_household",
    "acute_month_kg",
    "acute_spill_month_kg",
    "is_discarded",
    "is_liquid",
    "is_wipe",
    "is_scrap_metal",
    "is_loose_powder",
    "is_treatment_sludge",
    "process",
    "kind",
    "us_state",
    "container_age_days",
    "container_fill_percent",
    "cu_mg_per_l",
    "cu_mg_per_kg",
    "hazardous_month_kg",
}


def test_of_a_rinse_that_nobody_tested_no_rule_goes_by_what_nobody_knows():
    bath, copper_known = adopted(strength_g_per_l=200), drum("rinse", name="W2")
    bitten(bath, at=0.5)
    put(copper_known, 4, source=models.Deposit.Source.RINSE)
    put(nothing_known := drum("rinse", name="W3"), 4)
    for vessel in (copper_known, nothing_known):
        for region in ("us", "eu", "gb", "elsewhere"):
            flags = flags_of(vessel, region=region, us_state="CA").flags

            assert {key for flag in flags for key in flag.inputs} <= KNOWN_OF_A_RINSE
            assert {flag.state for flag in flags if flag.rule_id.startswith("eu.hp")} <= {NEEDS_INFO}
            assert all(flag.missing for flag in flags if flag.state == NEEDS_INFO)


def test_one_answer_settles_what_a_rinse_is_made_of_until_something_else_goes_in():
    bath, vessel = adopted(strength_g_per_l=200, acid_g_per_l=0), drum("rinse")
    bitten(bath, at=0.5)
    put(vessel, 4, source=models.Deposit.Source.RINSE)
    (need,) = (need for need in flags_of(vessel, region="eu").needs if need.name == "Nothing in it but bath and water")
    assert len(need.flags) > 14
    assert need.url == f"{reverse('waste:find', args=[vessel.pk])}?ask=only_copper_solution"

    found_out(vessel, only_copper_solution=True)
    assert state(vessel, "eu.hp4", region="eu") == state(vessel, "eu.hp3", region="eu") == DOES_NOT_APPLY
    assert state(vessel, "generic.back_into_the_bath") == APPLIES

    sources.take_out(bath, jug(1), into=DepositRequest(drum=vessel, kind="rinse", allowance=KEYHOLDER), by=signed(4))
    assert state(vessel, "eu.hp3", region="eu") == DOES_NOT_APPLY

    put(vessel, 1, at=5)
    assert state(vessel, "eu.hp3", region="eu") == NEEDS_INFO


def test_the_limit_that_was_told_is_judged_by_the_copper_of_the_drum(rinse):
    said(LocalAdvice.Kind.SEWER_LIMIT, cu_mg_per_l=1.0)
    measured(rinse, "cu_mg_per_l", 0.4, 0.6)
    assert state(rinse, "local.sewer_copper") == DOES_NOT_APPLY

    measured(rinse, "cu_mg_per_l", 1.5, at=3)

    assert state(rinse, "local.sewer_copper") == APPLIES
    assert flags_of(rinse).sewer_limit_mg_per_l == 1.0


def test_what_does_not_apply_permits_nothing_on_the_page_either(rinse):
    measured(rinse, "cu_mg_per_l", 0.4)
    said(LocalAdvice.Kind.SEWER_LIMIT, cu_mg_per_l=1.0)

    flags = flags_of(rinse)
    says = {flag.says for flag, _ in [*flags.of_water.not_met, *flags.elsewhere.not_met]}

    assert says == {waste.PERMITS_NOTHING}


def test_sewer_and_water_stand_apart_from_what_the_waste_is_called(spent):
    flags = flags_of(spent)

    of_water, elsewhere = ([flag for part in said for flag, _ in part] for said in (flags.of_water, flags.elsewhere))
    assert {flag.about for flag in of_water} == {"sewer and water"}
    assert "sewer and water" not in {flag.about for flag in elsewhere}
    assert len(of_water) + len(elsewhere) == len(flags.flags)


def test_what_somebody_found_out_decides_a_rule(rinse):
    assert state(rinse, "generic.other_metals") == NEEDS_INFO

    entry = found_out(rinse, may_hold_other_metals=True)
    assert state(rinse, "generic.other_metals") == APPLIES

    found_out(rinse, at=4, may_hold_other_metals=False)
    assert state(rinse, "generic.other_metals") == DOES_NOT_APPLY

    strike(Finding.objects.latest("pk").entry, by=signed(5), reason="guessed")
    assert state(rinse, "generic.other_metals") == APPLIES
    assert str(entry) == "Found out about W1: may hold lead or another toxic metal: yes"


def test_percentages_off_a_sheet_are_judged_with_both_their_ends():
    vessel = drum("solvent_spent", vessel="safety_can")
    put(vessel, 1)

    found_out(vessel, f_listed_before_use_percent=(9.0, 9.9))
    assert state(vessel, "us.f002_f005") == DOES_NOT_APPLY

    found_out(vessel, at=4, f_listed_before_use_percent=(9.0, 10.0))
    assert state(vessel, "us.f002_f005") == NEEDS_INFO

    found_out(vessel, at=5, f_listed_before_use_percent=(10.0, 12.0))
    assert state(vessel, "us.f002_f005") == APPLIES


def test_statements_off_a_sheet_are_answers_too():
    vessel = drum("solvent_spent", vessel="safety_can")
    put(vessel, 1)

    found_out(vessel, h_codes=["H272"])

    assert state(vessel, "us.d001.oxidizer") == APPLIES


@pytest.mark.parametrize(
    ("answers", "field"),
    [({}, None), ({"h_codes": ["X1"]}, "h_codes"), ({"water_percent": (90.0, 120.0)}, "water_percent")],
)
def test_an_answer_that_cannot_be_is_refused(rinse, answers, field):
    with pytest.raises(Refused) as refusal:
        found_out(rinse, **answers)

    assert refusal.value.field == field
    assert not Finding.objects.exists()


def test_what_another_kind_in_the_drum_does_counts_for_the_drum():
    vessel = drum("rags_copper", vessel="lined_pail")
    put(vessel, grams=100, at=1)
    assert state(vessel, "us.scrap.powder") == DOES_NOT_APPLY

    put(vessel, grams=100, at=2, kind="bath_mud", allowance=KEYHOLDER)

    assert state(vessel, "us.scrap.powder") == APPLIES


def test_a_drum_is_full_and_old_by_its_own_log():
    vessel = drum("rinse", capacity_l=10)
    put(vessel, 9)

    assert state(vessel, "generic.fill") == APPLIES
    assert state(vessel, "generic.age", at=365) == DOES_NOT_APPLY
    assert state(vessel, "generic.age", at=366) == APPLIES


def test_the_month_is_asked_only_where_a_rule_turns_on_it(rinse, django_assert_max_num_queries):
    with django_assert_max_num_queries(14):
        assert state(rinse, "us.age", at=20) == DOES_NOT_APPLY
    assert state(rinse, "us.age", at=200) == DOES_NOT_APPLY  # nothing arose in that month


def test_where_the_region_has_no_rules_the_cautions_stay_on(rinse):
    flags = flags_of(rinse, region="elsewhere")

    assert "ask your waste authority" in flags.no_rules_yet
    assert {flag.rule_set for flag in flags.flags} == {"generic"}


# pages


def url(page, *args):
    return reverse(f"waste:{page}", args=args)


def test_a_drums_page_says_whose_rules_how_old_and_that_they_only_suggest(member, studio, spent):
    studio.region = "us"
    studio.save_base()

    page = member.get(spent.get_absolute_url()).content.decode()

    assert "40 CFR 261.24 Table 1, as of 8 Nov 2024, read" in page
    assert "suggested; local rules decide" in page
    assert waste.FOOTER[:40] in page
    assert "No limit of your sewer is on record" in page


def test_every_flag_of_a_page_is_printed_by_what_it_says(member, studio, rinse):
    page = re.sub(r"\s+", " ", member.get(rinse.get_absolute_url()).content.decode())

    assert re.search("needs info</span> A copper test strip or a laboratory", page)
    assert page.count("not met, which permits nothing") == 1


def test_a_drums_page_asks_the_database_little(member, studio, spent, django_assert_max_num_queries):
    with django_assert_max_num_queries(MOST_QUERIES):
        member.get(spent.get_absolute_url())
    with django_assert_max_num_queries(MOST_QUERIES_ONCE_KEPT):
        member.get(spent.get_absolute_url())


def test_what_the_rules_ask_is_answered_on_one_page(member, rinse):
    asked = f"{url('find', rinse.pk)}?ask=drips&ask=water_percent&ask=h_codes"

    response = member.post(asked, {"key": uuid4(), "drips": "no", "water_percent": "98 to 99", "h_codes": "H412, h318"})

    assert response.headers["Location"] == rinse.get_absolute_url()
    assert {each.key: each.value for each in Finding.objects.all()} == {
        "drips": False,
        "water_percent": (98, 99),
        "h_codes": ["H412", "H318"],
    }
    assert len({each.entry_id for each in Finding.objects.all()}) == 1


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({}, None, "Answer at least one"),
        ({"water_percent": "120"}, "water_percent", "outside 0 to 100"),
        ({"h_codes": "sour"}, "h_codes", "hazard statements must be"),
    ],
)
def test_a_wrong_answer_is_explained(member, rinse, typed, field, sentence):
    response = member.post(f"{url('find', rinse.pk)}?ask=water_percent&ask=h_codes", {"key": uuid4()} | typed)

    form = response.context["form"]
    assert sentence in " ".join(form.errors[field] if field else form.non_field_errors())
    assert not Finding.objects.exists()


def test_unless_something_is_asked_for_all_that_can_be_looked_at_is(member, rinse):
    page = member.get(url("find", rinse.pk)).content.decode()

    assert "Drips" in page
    assert "H318" not in page


def test_the_book_tells_what_was_found_out(rinse):
    entry = found_out(rinse, drips=True)

    assert [(change.what, change.how) for change in entry.changes()] == [("W1", "drips: yes")]


def test_a_drum_of_which_something_was_found_out_is_struck_after_that(rinse):
    vessel = drum("rags_copper", name="W2", vessel="lined_pail")
    found_out(vessel, drips=True)

    with pytest.raises(Refused):
        strike(vessel.entry, by=signed(5), reason="never there")


def test_an_empty_drum_begins_with_what_may_go_in(member):
    shown = member.get(drum().get_absolute_url()).content.decode()

    assert shown.index("What may go in") < shown.index("What the rules will ask once something is in it")
    assert "got away" not in shown[: shown.index("What the rules will ask once something is in it")]


def test_a_page_says_what_is_missing_once_and_no_id_of_a_rule(member, spent):
    shown = " ".join(member.get(spent.get_absolute_url()).content.decode().split())

    assert "Needs info. " not in shown and ".toml" not in shown
    assert [rule.id for rules in waste.rule_sets_for("us") for rule in rules.rules if rule.id in shown] == []


def test_what_most_rules_turn_on_is_in_view_and_the_rest_folded(member, studio, spent):
    studio.region = "us"
    studio.save_base()
    needs = flags_of(spent, region="us").needs

    page = " ".join(member.get(spent.get_absolute_url()).content.decode().split())
    in_view = re.sub(r"<details.*?</details>", "", page)

    assert [need.name for need in needs if f"<b>{need.name}</b>" in in_view] == [needs[0].name]
    assert all(f"<b>{need.name}</b>" in page for need in needs)


def test_a_drum_that_holds_more_than_it_can_by_the_book_is_full_and_opens(member):
    vessel, other = drum(capacity_l=10), drum(name="W2")
    put(vessel, 9, at=1)
    over = operations.pour_over(vessel, into=DepositRequest(drum=other, kind="rinse", litres=poured(9)), by=signed(2))
    put(vessel, 9, at=3)
    strike(over, by=signed(4), reason="it was another drum")

    response = member.get(url("drum", vessel.pk))

    assert response.status_code == 200
    assert content.content_of_drum(vessel).full_percent == 180
    assert state(vessel, "generic.fill") == APPLIES
