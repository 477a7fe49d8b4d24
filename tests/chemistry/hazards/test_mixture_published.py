"""Mixture rules against published worked examples; sources are named in tests/sources/mixtures.toml."""

from fractions import Fraction

import pytest

from chemistry.hazards import mixture
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import bath
from chemistry.hazards.mixture import NOT_TOXIC, UNKNOWN, Ingredient
from chemistry.hazards.substances import SUBSTANCES
from tests import sources

EXAMPLES = sources.read("mixtures")
IN_WORDS = {"above": NOT_TOXIC, "unknown": UNKNOWN}


def named(examples):
    return [pytest.param(example, id=example["name"]) for example in examples]


def each_regime(examples):
    return [
        pytest.param(example, result, id=f"{example['name']}, {result['regime']}")
        for example in examples
        for result in example["results"]
    ]


@pytest.mark.parametrize(("example", "result"), each_regime(EXAMPLES["acute"]))
def test_acute_toxicity_agrees_with_the_published_example(example, result):
    route = example["route"]
    ingredients = [
        Ingredient(f"ingredient of {ate}", percent, ate={route: IN_WORDS.get(ate, ate)})
        for percent, ate in example["percent_and_ate"]
    ]

    found = mixture.acute_toxicity(ingredients, route, result["regime"])

    assert float(found.ate) == pytest.approx(result["ate"], rel=0.01)
    assert found.category == result.get("category")
    assert found.unknown_percent == example.get("unknown_percent", 0)


@pytest.mark.parametrize("example", named(EXAMPLES["skin_and_eye"]))
def test_skin_and_eye_agree_with_the_published_example(example):
    ingredients = [
        Ingredient(
            f"{percent} % of {class_id or 'the rest'}",
            percent,
            (class_id,) if class_id else (),
            additive_eye=example.get("additive", True),
        )
        for percent, class_id in example["percent_and_class"]
    ]

    found = mixture.classify(ingredients, example["regime"], ph=example.get("ph"))

    told = [id for id in found.classes if CLASSES[id].hazard in example["hazards_told"]]
    assert told == example["gives"]


def test_aquatic_sums_agree_with_the_published_example():
    example = EXAMPLES["aquatic"]
    ingredients = [
        Ingredient(f"ingredient {number}", percent, (class_id,) if class_id else (), m_acute=m)
        for number, (percent, class_id, m) in enumerate(example["percent_class_and_m"])
    ]

    found = mixture.classify(ingredients, "UN")

    assert list(found.classes) == example["gives"]
    category_1, category_2, _ = [line.text for line in found.working]
    assert f"= {example['acute_1_sum'] / 25:g}: below 1" in category_1
    assert f"= {example['acute_2_sum'] / 25:g}: at least 1" in category_2


def test_a_label_agrees_with_the_published_example():
    example = EXAMPLES["label"]

    found = mixture.label(example["classes"], "UN")

    assert found.signal_word == example["signal_word"]
    assert list(found.pictograms) == example["pictograms"]
    assert list(found.h_codes) == example["h_codes"]


def test_pieces_of_copper_are_scrap_metal_and_loose_powder_is_not():
    example = EXAMPLES["scrap"]

    assert all(SUBSTANCES[key].hazards.is_scrap_metal.value for key in example["scrap_metal"])
    assert not any(SUBSTANCES[key].hazards.is_scrap_metal.value for key in example["not_scrap_metal"])


BATHS = [dict(zip(EXAMPLES["bath"]["columns"], row, strict=True)) for row in EXAMPLES["bath"]["rows"]]


@pytest.mark.parametrize("expected", BATHS, ids=lambda row: f"{row['blue_percent']} %")
def test_the_bath_takes_its_classes_at_the_strengths_worked_out_by_hand(expected):
    strength = Fraction(expected["blue_percent"])

    stricter = mixture.classify(bath(strength, dried_off=0), "EU")
    additive = mixture.classify(bath(strength, dried_off=0, additive_eye=True), "EU")

    assert category(stricter, "acute oral") == expected["acute_oral"]
    assert category(stricter, "eye") == expected["eye"]
    assert category(additive, "eye") == expected["eye_if_additive"]
    assert category(stricter, "aquatic, acute") == expected["aq_acute"]
    assert category(stricter, "aquatic, long-term") == expected["aq_chronic"]


@pytest.mark.parametrize("expected", BATHS, ids=lambda row: f"{row['blue_percent']} %")
def test_the_bath_in_the_us_keeps_eye_and_swallowing_and_tells_the_environment_apart(expected):
    found = mixture.classify(bath(Fraction(expected["blue_percent"]), dried_off=0), "US")

    assert category(found, "acute oral") == expected["acute_oral"]
    assert category(found, "eye") == expected["eye"]
    assert not any(id.startswith("aq_") for id in found.classes)
    assert ("aq_acute_1" in found.environment) is bool(expected["aq_acute"])
    assert ("aq_chronic_2" in found.environment) is (expected["aq_chronic"] == "2")


def category(found, hazard):
    return next(
        (CLASSES[id].category for id in found.classes if CLASSES[id].hazard == hazard),
        "",
    )
