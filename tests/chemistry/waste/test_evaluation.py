"""Flags: three states, where they come from, and that none of them reads as a permission."""

import re
from datetime import date
from fractions import Fraction

import pytest

from chemistry import data_files, waste
from chemistry.hazards.ingredients import UNKNOWN
from chemistry.waste.conditions import ALWAYS
from chemistry.waste.rules import EVIDENCE, SHIPPED
from chemistry.waste.vocabulary import VOCABULARY
from tests.chemistry.waste.rule_edges import EDGES, HOME, SHOP_MONTH

RULES = {rule.id: rule for rule_set in SHIPPED.values() for rule in rule_set.rules}
CONDITIONAL = {id for id, rule in RULES.items() if rule.when != ALWAYS}
PROMISE = re.compile(r"\b(safe|safely|legal|legally|harmless|non-?toxic|clear|clears|cleared)\b", re.IGNORECASE)


def flagged(properties, rule_sets=tuple(SHIPPED)):
    return {flag.rule_id: flag for flag in waste.flags(properties, rule_sets)}


def test_no_rule_is_without_its_table_of_edges():
    assert EDGES.keys() == RULES.keys()


def test_every_rule_says_at_its_edges_what_its_clause_says():
    wrong = [
        (id, clause, known, state)
        for id, table in EDGES.items()
        for clause, known, state in table
        if flagged(known)[id].state != state
    ]

    assert wrong == []


def test_a_table_holds_all_three_answers_and_cites_a_clause_in_each_line():
    for id in CONDITIONAL:
        assert {state for _, _, state in EDGES[id]} == {"applies", "does not apply", "needs info"}, id
    assert all(clause for table in EDGES.values() for clause, _, _ in table)


def test_a_number_that_a_rule_names_stands_in_its_table_just_below_at_and_just_above():
    missing = [
        (id, key, float(limit))
        for id, rule in RULES.items()
        for key in rule.when.speaks_of()
        for limit in limits_within(rule.when, key)
        if not all(any(is_there(known.get(key)) for _, known, _ in EDGES[id]) for is_there in beside(limit))
    ]

    assert missing == []


def beside(limit):
    """Below, at and above, no further off than a hundredth of it or three units."""
    near = max(limit / 100, 3)
    exact = [lambda given: given is not None and not isinstance(given, tuple) and limit - near <= given < limit]
    exact += [lambda given: given == limit]
    exact += [lambda given: given is not None and not isinstance(given, tuple) and limit < given <= limit + near]
    # what begins above nothing has nothing below it
    return exact if limit else exact[1:]


def limits_within(condition, key):
    if hasattr(condition, "limit"):
        return [condition.limit] if condition.property.key == key and isinstance(condition.limit, Fraction) else []
    inner = (*condition.all, *condition.any, *condition.none)
    return [limit for each in inner for limit in limits_within(each, key)]


def test_a_rule_that_does_not_apply_says_that_this_permits_nothing():
    said = {flagged(known)[id].says for id, table in EDGES.items() for _, known, state in table if state[0] == "d"}

    assert said == {waste.PERMITS_NOTHING}


def test_a_rule_that_needs_info_says_what_to_do():
    for id, table in EDGES.items():
        for _, known, state in table:
            flag = flagged(known)[id]
            if state == "needs info":
                assert flag.missing and set(flag.missing) <= VOCABULARY.keys(), id
                assert flag.ask and all(sentence.endswith((".", "?")) for sentence in flag.ask), id


def test_of_a_waste_of_which_nothing_is_known_no_rule_says_that_it_does_not_apply():
    states = {id: flag.state for id, flag in flagged({}).items()}

    assert {id for id, state in states.items() if state == "needs info"} == CONDITIONAL
    assert {id for id, state in states.items() if state == "applies"} == RULES.keys() - CONDITIONAL


@pytest.mark.parametrize("nothing", [None, UNKNOWN])
def test_a_reading_nobody_took_is_the_same_as_none_at_all(nothing):
    assert waste.flags({"ph": nothing}, ["us-federal"]) == waste.flags({}, ["us-federal"])


def test_one_fact_suffices_where_it_decides_alone():
    flag = flagged({"is_liquid": False})["us.sewer.ph"]

    assert flag.state == "does not apply"
    assert flag.missing == ()


def test_only_what_would_decide_is_asked_for():
    flag = flagged({"used_as_solvent": True, "f003_only_before_use": False})["us.f003"]

    assert flag.missing == ("f003_present_before_use", "f_listed_before_use_percent")


def test_a_range_over_a_limit_needs_info_and_a_range_beside_it_does_not():
    states = [flagged({"cu_mg_per_l": copper})["us.sewer.copper"].state for copper in [(0.01, 0.05), (0.05, 1), (1, 2)]]

    assert states == ["does not apply", "needs info", "applies"]


def test_hazard_statements_that_may_not_be_all_decide_only_what_they_hold():
    known_in_part = ["H318", UNKNOWN]

    assert flagged({"h_codes": known_in_part})["us.d001.oxidizer"].state == "needs info"
    assert flagged({"h_codes": [*known_in_part, "H272"]})["us.d001.oxidizer"].state == "applies"


# no permission


def test_copper_has_its_own_flags_for_sewer_and_water_whatever_the_waste_rules_say():
    weak_rinse = {"cu_mg_per_l": 5, "chronic_aquatic_index": 0.2, "h318_percent": 0.002, "is_liquid": True, "ph": 6}

    found = flagged(weak_rinse)

    assert found["eu.hp14.chronic"].state == "does not apply"
    assert found["us.sewer.ph"].state == "does not apply"
    for id in ("generic.copper.water", "generic.copper.sewer", "us.sewer.copper", "eu.sewer.copper"):
        assert (found[id].state, found[id].severity, found[id].about) == ("applies", "stop", "sewer and water")


def test_copper_not_measured_needs_info_before_any_sewer():
    flag = flagged({"is_liquid": True, "ph": 7})["generic.copper.sewer"]

    assert flag.state == "needs info"
    assert flag.ask == (VOCABULARY["cu_mg_per_l"].measure,)


def test_copper_that_federal_lists_leave_out_is_not_told_as_a_permission():
    flag = flagged({"cu_mg_per_l": 60_000})["us.tc.no_copper"]

    assert flag.state == "applies"
    assert "permits nothing" in flag.says


def test_a_flag_that_needs_info_says_what_to_do_first():
    says = flagged({"is_liquid": True})["us.sewer.ph"].says

    assert says.startswith("Needs info. Measure it: a meter, or a strip;")


def test_no_sentence_promises_what_the_book_cannot_know():
    sentences = [
        *(rule.text for rule in RULES.values()),
        *(property.measure for property in VOCABULARY.values()),
        *(sentence for rule in RULES.values() for sentence in rule.measure.values()),
        *(rule_set.title for rule_set in SHIPPED.values()),
        waste.FOOTER,
        waste.NO_RULES_YET,
        waste.PERMITS_NOTHING,
        waste.SUGGESTED,
    ]

    assert [sentence for sentence in sentences if PROMISE.search(sentence.replace("safety sheet", ""))] == []


# where it comes from


def test_a_flag_carries_its_source_its_date_and_that_local_rules_decide():
    flags = flagged({})

    assert flags.keys() == RULES.keys()
    for id, flag in flags.items():
        assert flag.citation, id
        assert date(1984, 11, 13) <= flag.as_of <= date(2026, 11, 29), id
        assert flag.evidence in EVIDENCE, id
        assert flag.standing == "suggested; local rules decide", id
        assert (flag.rule_set, flag.version) in {(known.id, known.version) for known in SHIPPED.values()}, id


def test_a_flag_keeps_what_it_was_judged_by():
    flag = flagged({"is_aqueous": True, "ph": 2, "cu_mg_per_l": 3})["us.d002"]

    assert flag.because == (
        "(watery: yes and (pH at most 2 or pH at least 12.5)) or "
        "(liquid: yes and steel eaten away at 55 °C above 6.35 mm a year)"
    )
    assert flag.inputs.keys() == {"is_aqueous", "ph"}


def test_no_two_rules_share_an_id():
    assert len(RULES) == sum(len(rule_set.rules) for rule_set in SHIPPED.values())


# regions


@pytest.mark.parametrize(
    ("region", "ids"),
    [
        ("us", ["generic", "us-federal"]),
        ("eu", ["generic", "eu"]),
        ("gb", ["generic", "eu", "gb"]),
        ("elsewhere", ["generic"]),
    ],
)
def test_a_region_has_its_rules_and_the_cautions_that_hold_everywhere(region, ids):
    assert [rule_set.id for rule_set in waste.rule_sets_for(region)] == ids


def test_where_there_are_no_rules_yet_the_page_says_whom_to_ask():
    assert waste.no_rules_yet("us") == ""
    assert waste.no_rules_yet("elsewhere").startswith("No rule set for your region yet: ask ")


def test_the_cautions_are_on_even_where_nobody_chose_them():
    assert {flag.rule_set for flag in waste.flags({}, [])} == {"generic"}
    assert [flag.rule_set for flag in waste.flags({}, ["eu"])][0] == "generic"


def test_the_cautions_come_once_however_they_are_chosen():
    chosen = waste.flags({}, waste.rule_sets_for("eu"))

    assert chosen == waste.flags({}, ["eu"])


def test_a_rule_set_nobody_knows_is_refused():
    with pytest.raises(ValueError, match="no such rule set: mars"):
        waste.flags({}, ["mars"])


# the month


def test_a_month_is_that_of_the_calendar():
    drums = [(date(2026, 3, 31), 500), (date(2026, 4, 1), 40), (date(2026, 4, 30), 60), (date(2025, 4, 15), 900)]

    assert waste.month_kg(drums, year=2026, month=4) == (100, 100)


def test_a_drum_nobody_weighed_leaves_the_category_open_unless_the_rest_decides_it():
    def states(*drums):
        found = waste.month_flags(
            [(date(2026, 4, 3), kg) for kg in drums],
            year=2026,
            month=4,
            rule_sets=["us-federal"],
            of_the_studio=SHOP_MONTH,
        )
        categories = {f"us.month.{name}": name for name in ("very_small", "small", "large")}
        return {categories[flag.rule_id]: flag.state for flag in found if flag.rule_id in categories}

    assert states(60, None) == {"very_small": "needs info", "small": "needs info", "large": "needs info"}
    assert states(1000, None) == {"very_small": "does not apply", "small": "does not apply", "large": "applies"}


def test_a_household_has_no_category_however_much_arose():
    drums = [(date(2026, 4, 3), 5000)]

    found = waste.month_flags(drums, year=2026, month=4, rule_sets=["us-federal"], of_the_studio=HOME)

    assert [flag.rule_id for flag in found if flag.state != "does not apply"] == ["us.month.household"]


def test_tenths_of_a_kilogram_do_not_drift_over_a_limit():
    drums = [(date(2026, 4, 3), 0.1)] * 1000

    found = waste.month_flags(drums, year=2026, month=4, rule_sets=["us-federal"], of_the_studio=SHOP_MONTH)

    assert [flag.rule_id for flag in found if flag.state == "applies"] == ["us.month.very_small"]


def test_a_month_without_waste_still_has_its_cautions_elsewhere():
    assert waste.month_flags([], year=2026, month=4, rule_sets=waste.rule_sets_for("elsewhere")) == []


def test_sewer_limits_are_examples_with_their_sources():
    limits = [float(limit.cu_mg_per_l) for limit in waste.SEWER_LIMITS]

    assert limits == sorted(limits)
    assert all(limit.source and limit.evidence in EVIDENCE for limit in waste.SEWER_LIMITS)
    assert len(data_files.read("sewer_limits")["limit"]) == len(limits)


# what is refused


@pytest.mark.parametrize(
    ("properties", "sentence"),
    [
        ({"colour": "blue"}, "no such property: colour"),
        ({"colour": None}, "no such property: colour"),
        ({"ph": "sour"}, r"pH must be a number or \(low, high\), not 'sour'"),
        ({"ph": True}, r"pH must be a number or \(low, high\), not True"),
        ({"ph": (4,)}, r"pH must be a number or \(low, high\), not \(4,\)"),
        ({"ph": 17}, "pH must be between -2 and 16, not 17"),
        ({"ph": (5, 4)}, "a range is written low end first"),
        ({"ph": float("nan")}, "nan is not a number"),
        ({"cu_mg_per_l": -1}, "dissolved copper must be between 0 and 500000 mg/L, not -1"),
        ({"is_liquid": 1}, "liquid must be True or False, not 1"),
        ({"route": "river"}, "where it is to go must be one of drain, sewer, .*, not 'river'"),
        ({"us_state": "California"}, "state must be written as "),
        ({"h_codes": "H318"}, "hazard statements must be a collection of words, not 'H318'"),
        ({"h_codes": ["toxic"]}, "hazard statements must be written as .*, not 'toxic'"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(properties, sentence):
    with pytest.raises(ValueError, match=sentence):
        waste.flags(properties, ["eu"])
