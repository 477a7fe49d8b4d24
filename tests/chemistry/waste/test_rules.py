"""The format of rules: what it takes, what it refuses in a sentence, and rules a studio adds of its own."""

from datetime import date
from fractions import Fraction

import pytest

from chemistry import waste
from chemistry.waste.conditions import read
from chemistry.waste.local_rules import local_rules, sewer_copper_limit
from chemistry.waste.rules import ABOUT, SEVERITIES, SHIPPED, RuleSet, read_rule, read_rules
from chemistry.waste.streams import STREAMS
from chemistry.waste.vocabulary import SHARES, VOCABULARY

RULE = {
    "id": "local.rinse",
    "when": {"all": [{"property": "kind", "one_of": ["rinse"]}]},
    "text": "Rinse water: in the blue pail.",
    "citation": "the depot",
    "as_of": date(2026, 1, 12),
    "evidence": "told",
    "about": "where it goes",
    "severity": "duty",
}
TOLD = {
    "id": "local.rinse",
    "when": {"all": [{"property": "kind", "one_of": ["rinse"]}]},
    "text": "Rinse water: in the blue pail.",
    "said_by": "the depot",
    "said_on": date(2026, 1, 12),
}


def states(properties, *rule_sets):
    return {flag.rule_id: flag.state for flag in waste.flags(properties, rule_sets)}


# the vocabulary


def test_every_property_says_what_it_is_and_how_it_is_found_out():
    for key, of in VOCABULARY.items():
        assert of.name and of.meaning, key
        assert of.measure.endswith((".", "?")), key
        assert of.kind in ("yes or no", "number", "one of", "any of"), key
        assert (of.kind == "number") == (of.low < of.high), key
        assert (of.kind in ("one of", "any of")) == bool(of.choices or of.pattern), key


def test_every_property_is_spoken_of_by_some_rule():
    spoken_of = {key for rule_set in SHIPPED.values() for rule in rule_set.rules for key in rule.when.speaks_of()}

    assert VOCABULARY.keys() == spoken_of


def test_kinds_of_waste_are_those_of_the_streams():
    assert list(VOCABULARY["kind"].choices) == list(STREAMS)


def test_shares_are_numbers_of_percent():
    assert all((VOCABULARY[key].unit, VOCABULARY[key].high) == ("%", 100) for key in SHARES)


# conditions


@pytest.mark.parametrize(
    ("condition", "sentence"),
    [
        ("sometimes", "a condition must be \"always\" or a table, not 'sometimes'"),
        ({}, "a condition needs a property, or all, any or none, not nothing"),
        ({"some": []}, "a condition needs a property, or all, any or none, not some"),
        ({"all": []}, r"all needs a list of conditions, not \[\]"),
        ({"all": {"property": "ph"}}, "all needs a list of conditions"),
        ({"property": "colour", "is": True}, "no such property: colour"),
        ({"property": "ph"}, "ph needs one of below, at_most, above, at_least, not nothing"),
        ({"property": "ph", "is": True}, "ph needs one of below, at_most, above, at_least, not is"),
        ({"property": "ph", "below": 5, "above": 2}, "ph needs one of .*, not below, above"),
        ({"property": "ph", "below": 20}, "pH must be between -2 and 16, not 20"),
        ({"property": "ph", "below": (2, 3)}, r"ph needs one number as its limit, not \(2, 3\)"),
        ({"property": "ph", "below": "five"}, r"pH must be a number or \(low, high\), not 'five'"),
        ({"property": "is_liquid", "is": "yes"}, "liquid must be True or False, not 'yes'"),
        ({"property": "route", "one_of": "sewer"}, "route needs a list of words, not 'sewer'"),
        ({"property": "route", "one_of": []}, r"route needs a list of words, not \[\]"),
        ({"property": "route", "one_of": ["river"]}, "where it is to go must be one of .*, not 'river'"),
        ({"property": "h_codes", "any_of": ["toxic"]}, "hazard statements must be written as .*, not 'toxic'"),
    ],
)
def test_a_condition_that_cannot_be_read_is_refused_in_a_sentence(condition, sentence):
    with pytest.raises(ValueError, match=sentence):
        read(condition)


def test_the_text_of_a_condition_is_never_run():
    with pytest.raises(ValueError, match="a condition must be"):
        read("__import__('os').getcwd()")


@pytest.mark.parametrize(
    ("relation", "below", "at", "above"),
    [
        ("below", True, False, False),
        ("at_most", True, True, False),
        ("above", False, False, True),
        ("at_least", False, True, True),
    ],
)
def test_limits_are_exact_on_both_sides(relation, below, at, above):
    entry = RULE | {"when": {"property": "cu_mg_per_l", relation: 0.06}}
    rules = [
        waste.flags({"cu_mg_per_l": copper}, [set_of(entry)])[-1].state == "applies"
        for copper in (0.0599, 0.06, 0.0601)
    ]

    assert rules == [below, at, above]


def set_of(*entries):
    return RuleSet(id="test", title="test", version=date(2026, 1, 12), rules=read_rules(entries))


# rules


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"text": ""}, "rule local.rinse: text must be words, not ''"),
        ({"citation": None}, "rule local.rinse: citation must be words, not None"),
        ({"id": ""}, r"rule \(without an id\): id must be words"),
        ({"as_of": "last year"}, "rule local.rinse: a date must be written 2026-01-12, not 'last year'"),
        ({"evidence": "sure"}, "rule local.rinse: evidence must be one of read, .*, not 'sure'"),
        ({"about": "luck"}, "rule local.rinse: about must be one of sewer and water, .*, not 'luck'"),
        ({"severity": "mild"}, "rule local.rinse: severity must be one of emergency, .*, not 'mild'"),
        ({"colour": "blue"}, "rule local.rinse: nothing is called colour"),
        ({"when": {"property": "ph", "below": "x"}}, "rule local.rinse: pH must be a number"),
        ({"measure": {"ph": "Dip."}}, "rule local.rinse: measure speaks of ph, the condition does not"),
        ({"measure": "Dip."}, "rule local.rinse: measure must be a table of sentences, not 'Dip.'"),
    ],
)
def test_a_rule_that_cannot_be_read_is_refused_in_a_sentence(change, sentence):
    with pytest.raises(ValueError, match=sentence):
        read_rule(RULE | change)


@pytest.mark.parametrize("name", RULE)
def test_a_rule_needs_all_of_its_parts(name):
    with pytest.raises(ValueError, match=f"{name} is missing"):
        read_rule({key: value for key, value in RULE.items() if key != name})


def test_two_rules_of_a_set_cannot_share_an_id():
    with pytest.raises(ValueError, match="more than one rule is called local.rinse"):
        read_rules([RULE, RULE])


def test_a_rule_may_say_better_what_to_measure():
    told = set_of(RULE | {"measure": {"kind": "Ask at the desk."}})

    flag = waste.flags({}, [told])[-1]

    assert flag.ask == ("Ask at the desk.",)
    assert waste.flags({}, [set_of(RULE)])[-1].ask == (VOCABULARY["kind"].measure,)


def test_pages_can_order_flags_by_what_they_are_about():
    rules = [rule for rule_set in SHIPPED.values() for rule in rule_set.rules]

    assert {rule.about for rule in rules} == set(ABOUT)
    assert {rule.severity for rule in rules} == set(SEVERITIES)


# a studio's own


def test_a_studio_adds_a_rule_with_who_said_so_and_when():
    own = local_rules([TOLD])

    flag = next(flag for flag in waste.flags({"kind": "rinse"}, ["eu", own]) if flag.rule_set == "local")

    assert flag.state == "applies"
    assert flag.citation == "told by the depot, on 12 January 2026"
    assert (flag.as_of, flag.evidence) == (date(2026, 1, 12), "told")
    assert flag.standing == waste.SUGGESTED


def test_a_studios_rule_comes_as_it_is_kept_in_a_database():
    own = local_rules([TOLD | {"said_on": "2026-01-12", "citation": "letter 7"}])

    assert own.rules[0].as_of == own.version == date(2026, 1, 12)
    assert own.rules[0].citation == "letter 7"


def test_the_sewers_own_limit_for_copper_is_judged_on_both_sides_and_permits_nothing():
    own = local_rules([sewer_copper_limit(1.5, said_by="the water company", said_on="2026-01-12")])

    above, at = ({flag.rule_id: flag for flag in waste.flags({"cu_mg_per_l": mg}, [own])} for mg in (1.501, 1.5))

    assert above["local.sewer_copper"].state == "applies"
    assert "1.5 mg/L" in above["local.sewer_copper"].text
    assert at["local.sewer_copper"].says == waste.PERMITS_NOTHING
    assert at["generic.copper.sewer"].state == "applies"


def test_copper_nobody_measured_needs_info_for_the_sewers_own_limit():
    own = local_rules([sewer_copper_limit(Fraction(1), said_by="the water company", said_on="2026-01-12")])

    assert states({}, own)["local.sewer_copper"] == "needs info"


def test_what_holds_always_stands_with_every_waste():
    collection = {"id": "local.collection", "when": "always", "text": "Collection: first Saturday, 9 to 12"}
    own = local_rules([collection | {"said_by": "depot", "said_on": "2026-02-01"}])

    flag = waste.flags({}, [own])[-1]

    assert (flag.state, flag.text) == ("applies", "Collection: first Saturday, 9 to 12")


def test_a_studio_without_rules_of_its_own_has_an_empty_set():
    assert local_rules([]).rules == ()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"said_by": " "}, "rule local.rinse: say who said so, and on which day"),
        ({"said_on": None}, "rule local.rinse: say who said so, and on which day"),
        ({"said_on": "12/1/26"}, "rule local.rinse: a date must be written 2026-01-12, not '12/1/26'"),
        ({"id": "us.d002"}, "rules of ours are called so already: us.d002"),
        ({"text": " "}, "rule local.rinse: text must be words"),
    ],
)
def test_a_studios_rule_that_cannot_be_read_is_refused_in_a_sentence(change, sentence):
    with pytest.raises(ValueError, match=sentence):
        local_rules([TOLD | change])


@pytest.mark.parametrize(("limit", "sentence"), [(-1, "dissolved copper must be between"), ("much", "'much' is not")])
def test_a_sewer_limit_that_cannot_be_is_refused(limit, sentence):
    with pytest.raises(ValueError, match=sentence):
        local_rules([sewer_copper_limit(limit, said_by="the water company", said_on="2026-01-12")])
