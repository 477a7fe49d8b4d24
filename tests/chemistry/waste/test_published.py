"""Waste rules against published determinations and limits; sources are named in tests/sources/waste.toml."""

from decimal import Decimal

import pytest

from chemistry import waste
from chemistry.hazards.composition import bath
from chemistry.waste.properties import of_mixture
from tests import sources
from tests.chemistry.waste.rule_edges import NO_HP3, SHOP_MONTH

PUBLISHED = sources.read("waste")


def states(properties, rule_set):
    return {flag.rule_id: flag.state for flag in waste.flags(properties, [rule_set])}


@pytest.mark.parametrize("told", [pytest.param(each, id=each["name"]) for each in PUBLISHED["determination"]])
def test_rules_answer_as_the_agency_did(told):
    found = states(told["properties"], "us-federal")

    assert {id: found[id] for id in told["states"]} == told["states"]


@pytest.mark.parametrize(("kg", "category"), PUBLISHED["months"]["rows"])
def test_a_month_falls_into_the_published_category(kg, category):
    found = states(SHOP_MONTH | {"hazardous_month_kg": kg}, "us-federal")

    applying = [each for each in ("very_small", "small", "large") if found[f"us.month.{each}"] == "applies"]
    assert applying == [category]


@pytest.mark.parametrize(
    ("rule", "property", "limit"),
    [
        ("us-ca.copper.soluble", "cu_mg_per_l", PUBLISHED["california"]["stlc_mg_per_l"]),
        ("us-ca.copper.total", "cu_mg_per_kg", PUBLISHED["california"]["ttlc_mg_per_kg"]),
    ],
)
def test_the_example_state_lists_copper_from_its_published_limits(rule, property, limit):
    place = {"us_state": "CA", "is_scrap_metal": False}

    assert states(place | {property: limit}, "us-federal")[rule] == "applies"
    assert states(place | {property: limit * 0.999}, "us-federal")[rule] == "does not apply"
    assert states(place | {"us_state": "OR", property: limit}, "us-federal")[rule] == "does not apply"


def test_the_toxicity_metals_are_told_with_their_published_limits():
    limits = PUBLISHED["toxicity_metals"]["limits"]
    text = next(flag.text for flag in waste.flags({}, ["us-federal"]) if flag.rule_id == "us.tc.other_metals")

    assert "copper" not in text
    for metal, limit in limits.items():
        assert f"{metal} {limit:g}," in text or f"{metal} {limit}" in text


def test_sewer_limits_are_as_published():
    known = {float(limit.cu_mg_per_l) for limit in waste.SEWER_LIMITS}

    assert set(PUBLISHED["sewers"]["limits"]) <= known


@pytest.mark.parametrize(
    ("rule", "property", "percent"),
    [(table["rule"], *row) for table in PUBLISHED["hp_limits"] for row in table["rows"]],
)
def test_a_hazardous_property_begins_at_its_quoted_percentage(rule, property, percent):
    # what is HP 8 is no longer HP 4
    known = {} if property.startswith("h314") else {"h314_percent": 0}

    assert states(known | {property: percent}, "eu")[rule] == "applies"
    assert states(known | {property: percent * 0.999}, "eu")[rule] != "applies"


def test_aspiration_counts_only_in_what_is_thin():
    told = PUBLISHED["aspiration"]
    others = {f"h{code}_percent": 0 for code in (370, 371, 335, 372, 373)}
    spirit = others | {"h304_percent": told["percent"]}
    at, above = told["viscosity_mm2_per_s"], told["viscosity_mm2_per_s"] + 0.1

    assert states(spirit | {"viscosity_40c_mm2_per_s": at}, "eu")["eu.hp5"] == "applies"
    assert states(spirit | {"viscosity_40c_mm2_per_s": above}, "eu")["eu.hp5"] == "does not apply"
    assert states(spirit, "eu")["eu.hp5"] == "needs info"


@pytest.mark.parametrize(("ph", "is_corrosive"), PUBLISHED["corrosive_ph"]["rows"])
def test_extreme_ph_is_treated_as_corrosive(ph, is_corrosive):
    assert states({"ph": ph}, "eu")["eu.hp8.ph"] == ("applies" if is_corrosive else "does not apply")


@pytest.mark.parametrize(("flash_point_c", "is_flammable"), PUBLISHED["flash_point"]["rows"])
def test_waste_is_flammable_below_its_flash_point(flash_point_c, is_flammable):
    found = states(NO_HP3 | {"flash_point_c": flash_point_c}, "eu")

    assert found["eu.hp3"] == ("applies" if is_flammable else "does not apply")


@pytest.mark.parametrize(("blue_percent", "hp4", "hp6", "hp14"), PUBLISHED["bath"]["rows"])
def test_a_bath_takes_on_hazardous_properties_line_by_line(blue_percent, hp4, hp6, hp14):
    found = states(of_mixture(bath(Decimal(blue_percent), dried_off=0)), "eu")

    in_words = {True: "applies", False: "does not apply"}
    assert (found["eu.hp4"], found["eu.hp6"], found["eu.hp14.chronic"]) == (
        in_words[hp4],
        in_words[hp6],
        in_words[hp14],
    )
