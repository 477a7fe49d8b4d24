"""Where a wrong class or a missing sentence could hurt somebody: a test for each."""

import pytest

from chemistry.hazards import mixture
from chemistry.hazards.composition import bath, classify_as_sold, ingredient_of
from chemistry.hazards.mixture import Ingredient
from chemistry.hazards.storage import keep_apart, keep_unmixed
from chemistry.hazards.substances import SUBSTANCES
from chemistry.solution.sulfate import BLUE_PER_ANHYDROUS


@pytest.mark.parametrize("strength", [1, 1.5, 2.99])
def test_a_weak_bath_damages_eyes_from_1_percent_and_not_only_from_3(strength):
    found = mixture.classify(bath(strength, dried_off=0), "EU")

    assert "H318" in found.h_codes
    assert found.signal_word == "Danger"


@pytest.mark.parametrize("regime", ["UN", "EU", "US"])
def test_the_corrosion_sign_does_not_hide_that_a_strong_bath_is_harmful_if_swallowed(regime):
    found = mixture.classify(bath(24.05, dried_off=0), regime)

    assert {"H302", "H318"} <= set(found.h_codes)
    assert {"GHS05", "GHS07"} <= set(found.pictograms)


@pytest.mark.parametrize("strength", [2.5, 10, 24.9])
def test_a_bath_keeps_its_fish_hazard_because_its_copper_counts_tenfold(strength):
    found = mixture.classify(bath(strength, dried_off=0), "EU")

    assert {"H400", "H411"} <= set(found.h_codes)
    assert {"H400", "H411"} <= set(mixture.label(found.classes, "EU").h_codes)
    assert "× M 10" in next(str(line) for line in found.working if line.gives == "aq_acute_1")


def test_dry_copper_hydroxide_is_fatal_if_inhaled_and_the_record_says_keep_it_wet():
    found = classify_as_sold("copper_hydroxide", "EU")
    advice = " ".join(fact.value for fact in SUBSTANCES["copper_hydroxide"].hazards.advice)

    assert "H330" in found.h_codes
    assert "GHS06" in found.pictograms
    assert "keep the sludge wet" in advice
    assert "Prefer soda ash" in advice


def test_peroxide_never_meets_copper_in_one_vessel():
    reasons = keep_unmixed(["oxidiser"], ["copper salt"])

    assert [reason.refused for reason in reasons] == [True]
    assert "closed bottle bursts" in reasons[0].why


@pytest.mark.parametrize("acid", ["acid", "weak acid", "salt cleaner"])
def test_bleach_never_meets_vinegar(acid):
    for asked in (keep_apart, keep_unmixed):
        reasons = asked([acid], ["bleach"])

        assert [reason.refused for reason in reasons] == [True]
        assert "Chlorine gas" in reasons[0].why


def test_salt_cleaner_never_meets_the_bath():
    reasons = keep_unmixed(["copper salt"], ["salt cleaner"])

    assert [reason.refused for reason in reasons] == [True]
    assert "chlorine" in reasons[0].why


@pytest.mark.parametrize("metal", ["reactive metal", "steel"])
def test_copper_solutions_never_stand_in_bare_metal(metal):
    reasons = keep_unmixed(["copper salt"], [metal])

    assert [reason.refused for reason in reasons] == [True]
    assert "HDPE or PP" in reasons[0].why


@pytest.mark.parametrize("key", ["ammonia_solution", "citric_acid"])
def test_what_hides_copper_from_soda_ash_is_marked(key):
    assert SUBSTANCES[key].hazards.keeps_copper_dissolved.value
    assert SUBSTANCES["acetone"].hazards.keeps_copper_dissolved is None


def test_a_soda_ash_solution_of_ph_11_5_counts_as_corrosive():
    solution = [ingredient_of("sodium_carbonate", 20), ingredient_of("water", 80)]

    unmeasured = mixture.classify(solution, "EU")
    measured = mixture.classify(solution, "EU", ph=11.5)
    weaker = mixture.classify(solution, "EU", ph=11.4)

    assert "pH of the mixture: measure it" in unmeasured.needs_info
    assert {"H314", "H318"} <= set(measured.h_codes)
    assert weaker.h_codes == unmeasured.h_codes == ("H319",)


def test_loose_cathode_powder_is_neither_scrap_metal_nor_without_a_class():
    powder, solid = SUBSTANCES["copper_metal_fine"].hazards, SUBSTANCES["copper_metal_massive"].hazards

    assert not powder.is_scrap_metal.value
    assert solid.is_scrap_metal.value
    assert {"H400", "H410"} <= set(classify_as_sold("copper_metal_fine", "EU").h_codes)
    assert classify_as_sold("copper_metal_massive", "EU").classes == ()


def test_a_generic_thinner_is_never_shown_as_the_real_product():
    found = classify_as_sold("lacquer_thinner_generic", "EU")

    assert any("safety sheet of the product itself" in question for question in found.needs_info)
    assert "assumed" in SUBSTANCES["lacquer_thinner_generic"].name


def test_rules_without_aquatic_classes_do_not_read_as_pour_it():
    found = mixture.classify(bath(20), "US")

    assert found.environment == ("aq_acute_1", "aq_chronic_2")
    assert mixture.label(found.environment, "UN").pictograms == ("GHS09",)
    assert "not required in the United States" in mixture.left_out("US")
    assert "H400" not in found.h_codes


def test_a_bath_is_labelled_for_what_it_becomes_when_a_fifth_of_its_water_dries_off():
    today = mixture.classify(bath(21, dried_off=0), "EU")
    dried = mixture.classify(bath(21), "EU")

    assert "H302" not in today.h_codes
    assert "H302" in dried.h_codes


def test_pale_powder_in_solution_counts_as_the_blue_crystals_it_becomes():
    found = mixture.classify(bath(16 * BLUE_PER_ANHYDROUS, dried_off=0), "EU")

    assert "aq_chronic_1" in found.classes


def test_pale_powder_gets_the_eye_class_of_the_crystals_because_an_eye_is_wet():
    assert "H318" in classify_as_sold("copper_sulfate_anhydrous", "EU").h_codes
    assert "H319" not in classify_as_sold("copper_sulfate_anhydrous", "EU").h_codes


def test_a_mystery_never_reads_as_clear():
    found = mixture.classify([Ingredient("blue liquid from a market", 40)], "EU")

    assert found.classes == ()
    assert found.needs_info == (
        "hazard classes of blue liquid from a market (40 %)",
        "what the other 60 % of the mixture is",
        "100 % of the mixture is of unknown acute toxicity (swallowed, on the skin, inhaled): "
        "blue liquid from a market, what nobody names",
    )
