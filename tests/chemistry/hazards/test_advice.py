"""What to do at a bench, whatever the hazard."""

import re

import pytest

from chemistry.hazards.advice import SECTIONS, advice
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.storage import GROUPS

FIRST_AID = ("eyes", "skin", "swallowed", "inhaled")
PROMISE = re.compile(r"\b(safe|legal|non-?toxic|harmless)\b", re.IGNORECASE)
GRADES = {"read", "from memory", "common practice"}


def words(section, *classes, groups=(), is_unknown=False):
    return " ".join(said.text for said in advice(section, classes, groups, is_unknown=is_unknown))


@pytest.mark.parametrize("section", [*FIRST_AID, "bench", "spill", "fire", "waste"])
def test_no_hazard_is_left_without_a_word(section):
    assert [known for known in CLASSES if not advice(section, [known], [])] == []
    assert [known for known in GROUPS if not advice(section, [], [known])] == []
    assert advice(section, [], [])


@pytest.mark.parametrize("section", FIRST_AID)
def test_first_aid_for_the_unknown_is_that_for_the_worst(section):
    worst = SECTIONS[section].rules[0].advice.text

    assert words(section, is_unknown=True) == worst


def test_an_eye_that_may_be_damaged_is_rinsed_for_a_quarter_of_an_hour():
    assert "at least 15 minutes" in words("eyes", "eye_dam_1")
    assert "at least 15 minutes" in words("eyes", "skin_corr_1")


def test_nobody_is_made_to_vomit():
    assert all("Do not make the person vomit" in rule.advice.text for rule in SECTIONS["swallowed"].rules)


def test_no_water_jet_goes_on_a_burning_liquid():
    assert "no jet of water" in words("fire", "flam_liq_2")


def test_waste_goes_where_local_rules_say_and_nowhere_else():
    assert all("According to local rules" in words("waste", groups=[group]) for group in GROUPS)


def test_a_working_bath_is_kept():
    assert words("waste", groups=["bath", "copper salt"]).startswith("A working bath is kept")


def test_every_sentence_says_how_it_is_known_and_promises_nothing():
    said = [rule.advice for section in SECTIONS.values() for rule in section.rules]

    assert {each.grade for each in said} <= GRADES
    assert all(each.source for each in said)
    assert not [each.text for each in said if PROMISE.search(each.text)]
    assert all(each.grade == "common practice" for each in said if "no source" in each.source)


@pytest.mark.parametrize("group", ["copper salt", "salt cleaner", "flammable", "acid", "general"])
def test_how_a_spill_is_soaked_up_is_said_once(group):
    said = words("spill", groups=[group], is_unknown=True)

    assert len(re.findall(r"[Ss]oak (?:or sweep )?it up|Soak it up", said)) == 1
