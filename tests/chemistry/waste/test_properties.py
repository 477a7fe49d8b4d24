from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chemistry import waste
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import ingredient_of
from chemistry.hazards.ingredients import NOT_TOXIC, UNKNOWN, Ingredient
from chemistry.hazards.substances import SUBSTANCES
from chemistry.waste import properties
from chemistry.waste.properties import of_copper_solution, of_mixture
from chemistry.waste.vocabulary import SHARES, VOCABULARY, span


def states(properties, rule_set="eu"):
    return {flag.rule_id: flag.state for flag in waste.flags(properties, [rule_set])}


def test_what_is_worked_out_can_be_given_to_the_rules_as_it_is():
    for found in (
        of_mixture([ingredient_of("water", 90), Ingredient("mud", 10)]),
        of_copper_solution((10, 250)),
    ):
        assert found.keys() <= VOCABULARY.keys()
        assert waste.flags(found, ["generic", "us-federal", "eu", "gb"])


@pytest.mark.parametrize("key", SHARES)
def test_a_share_adds_up_classes_that_carry_its_statement(key):
    share = SHARES[key]
    told = {code[:4] for code in share.codes.replace(",", "").split() if code.startswith("H")}

    assert {CLASSES[id].h_code[:4] for id in share.classes} == told
    assert share.how in ("sum", "largest")


def test_an_ingredient_counts_from_its_cut_off():
    # Reg. (EU) 1357/2014, HP 4 and HP 6: 1 % for eye damage and for category 4
    def h318(percent):
        return of_mixture([Ingredient("salt", percent, ("eye_dam_1",)), ingredient_of("water", 100 - percent)])

    assert h318(Fraction("0.99"))["h318_percent"] == (0, 0)
    assert h318(1)["h318_percent"] == (1, 1)


def test_ingredients_add_up_in_a_sum_and_stand_alone_in_a_largest():
    ingredients = [
        Ingredient("one", 6, ("eye_dam_1", "repr_2")),
        Ingredient("other", 5, ("eye_dam_1", "repr_2")),
        ingredient_of("water", 89),
    ]

    found = of_mixture(ingredients)

    assert found["h318_percent"] == (11, 11)
    assert found["h361_percent"] == (6, 6)


def test_an_ingredient_that_harms_skin_and_eye_counts_once():
    found = of_mixture([Ingredient("resin", 15, ("skin_irrit_2", "eye_irrit_2")), ingredient_of("water", 85)])

    assert found["h315_h319_percent"] == (15, 15)


def test_chronic_statements_are_weighed_and_their_m_factors_are_not():
    copper = Ingredient("copper", 1, ("aq_chronic_1",), m_chronic=10)
    ingredients = [copper, Ingredient("spirit", 2, ("aq_chronic_2",)), Ingredient("oil", 3, ("aq_chronic_3",))]

    found = of_mixture([*ingredients, ingredient_of("water", 94)])

    assert found["chronic_aquatic_index"] == (123, 123)
    assert found["h410_to_h413_percent"] == (6, 6)


def test_an_ingredient_nobody_classified_may_count_in_every_sum_or_in_none():
    found = of_mixture(
        [Ingredient("blue crystals", 8, ("eye_dam_1",)), Ingredient("mud", 3), ingredient_of("water", 89)]
    )

    assert found["h318_percent"] == (8, 11)
    assert found["h350_percent"] == (0, 3)
    assert found["chronic_aquatic_index"] == (0, 300)
    assert states(found)["eu.hp4"] == "needs info"
    assert states(found)["eu.hp14.acute"] == "does not apply"


def test_what_is_unnamed_counts_as_not_known():
    found = of_mixture([Ingredient("water", 98, (), NOT_TOXIC)])

    assert found["h318_percent"] == (0, 2)
    assert UNKNOWN in found["h_codes"]
    assert states(found)["eu.hp2"] == "needs info"


def test_a_range_of_percentages_stays_a_range():
    found = of_mixture([Ingredient("salt", (8, 12), ("eye_dam_1",)), Ingredient("water", (88, 92), (), NOT_TOXIC)])

    assert found["h318_percent"][0] == 8
    assert states(found)["eu.hp4"] == "needs info"


def test_which_corrosive_category_is_not_known_so_1a_may_be_all_of_it_or_none():
    found = of_mixture([ingredient_of("sodium_hydroxide", 3), ingredient_of("water", 97)])

    assert (found["h314_percent"], found["h314_1a_percent"]) == ((3, 3), (0, 3))
    assert states(found)["eu.hp4"] == "needs info"


@pytest.mark.parametrize("key", ["white_spirit", "turpentine"])
def test_spent_spirit_harms_when_drawn_into_the_lungs_unless_it_is_thick(key):
    found = of_mixture([ingredient_of(key, 100)])

    assert states(found | {"viscosity_40c_mm2_per_s": 1.5})["eu.hp5"] == "applies"


def test_toluene_thinner_is_toxic_for_reproduction_from_3_percent():
    def thinner(percent):
        return states(of_mixture([ingredient_of("toluene", percent), ingredient_of("ethanol", 100 - percent)]))

    assert thinner(3)["eu.hp10"] == "applies"
    assert thinner(Fraction("2.9"))["eu.hp10"] == "does not apply"


def test_dry_hydroxide_sludge_is_acutely_toxic_by_its_dust():
    found = of_mixture([ingredient_of("copper_hydroxide", 100)])

    assert found["h330_2_percent"] == (100, 100)
    assert states(found)["eu.hp6"] == "applies"


def test_a_flash_point_is_never_made_up_for_what_can_burn():
    burns = of_mixture([ingredient_of("acetone", 5), ingredient_of("water", 95)])
    cannot = of_mixture([ingredient_of("sodium_chloride", 5), ingredient_of("water", 95)])

    assert burns["flash_point_c"] is None
    assert cannot["flash_point_c"] == (60, 500)
    assert of_mixture([ingredient_of("acetone", 100)], flash_point_c=-18)["flash_point_c"] == -18


def test_what_nobody_classified_may_burn():
    assert of_mixture([ingredient_of("water", 95), Ingredient("ground", 5)])["flash_point_c"] is None
    assert of_mixture([ingredient_of("water", 95)])["flash_point_c"] is None


def test_oxidising_ingredients_keep_their_statement_until_the_mixture_is_tested():
    found = of_mixture([ingredient_of("nitric_acid", 100)])

    assert states(found)["eu.hp2"] == "applies"


# copper


def test_copper_in_a_bath_follows_from_its_strength():
    # 63.546 / 249.686 of the crystals is copper
    bath = of_copper_solution(250)

    assert float(bath["cu_mg_per_l"]) == pytest.approx(250_000 * 63.546 / 249.686, rel=1e-6)
    assert float(bath["cu_mg_per_kg"]) == pytest.approx(55_278, rel=0.005)  # at 1.151 g/mL
    assert float(bath["water_percent"]) == pytest.approx(78.3, abs=0.1)


def test_the_composition_of_a_bath_decides_all_but_what_a_meter_must():
    bath = of_copper_solution(200) | {"kind": "bath_spent"}

    found = [flag for flag in waste.flags(bath, ["eu"]) if flag.rule_set == "eu" and flag.about == "what it is"]

    assert {flag.rule_id: flag.missing for flag in found if flag.state == "needs info"} == {"eu.hp8.ph": ("ph",)}


def test_640_milligrams_of_copper_in_a_litre_make_hazardous_waste_in_the_european_union():
    # by hand: 0.25 % of crystals by mass, about 2.5 g/L
    assert states(of_copper_solution(2.51))["eu.hp14.chronic"] == "applies"
    assert states(of_copper_solution(2.49))["eu.hp14.chronic"] == "does not apply"


def test_an_uncertain_strength_is_judged_at_both_its_ends():
    around_the_line = of_copper_solution((2, 3))

    assert states(around_the_line)["eu.hp14.chronic"] == "needs info"
    assert states(of_copper_solution((3, 4)))["eu.hp14.chronic"] == "applies"


def test_a_strength_around_a_line_leaves_the_statements_of_the_weaker_end_and_perhaps_others():
    # 1 % of crystals by mass, about 10 g/L, damages eyes
    statements = of_copper_solution((9, 11))["h_codes"]

    assert "H412" in statements.known | statements.may
    assert statements.is_all and not any(code.startswith("H2") for code in statements.known | statements.may)
    assert "H318" not in statements.known
    assert UNKNOWN not in of_copper_solution((11, 12))["h_codes"]


def test_any_working_bath_passes_the_example_states_limit():
    bath = of_copper_solution((50, 250)) | {"us_state": "CA"}

    assert states(bath, "us-federal")["us-ca.copper.soluble"] == "applies"


@given(st.lists(st.tuples(st.sampled_from(sorted(SUBSTANCES)), st.integers(1, 20)), min_size=1, max_size=5))
def test_what_is_known_lies_within_what_is_told_when_less_is_known(recipe):
    named = [ingredient_of(key, percent) for key, percent in recipe]
    rest = Ingredient("water", 100 - sum(percent for _, percent in recipe), (), NOT_TOXIC)
    less = [Ingredient(each.name, each.percent) if number == 0 else each for number, each in enumerate(named)]

    exactly, loosely = of_mixture([*named, rest]), of_mixture([*less, rest])

    for key in (*SHARES, "chronic_aquatic_index"):
        narrow, wide = span(exactly[key]), span(loosely[key])
        assert wide.low <= narrow.low <= narrow.high <= wide.high


def test_every_substance_that_a_list_names_is_one_of_ours():
    named = {*properties.U_LISTED, *properties.TOXIC_SOLVENTS, *properties.TOXIC_METALS}

    assert named <= SUBSTANCES.keys()
    assert set(properties.U_LISTED.values()) <= set(VOCABULARY["sole_active_substance"].choices)


def test_what_a_rule_counts_is_no_more_than_a_whole_mixture_can_hold():
    def mixture_of(*parts):
        return of_mixture([Ingredient(f"part {place}", *part) for place, part in enumerate(parts)])

    # Council Reg. (EU) 2017/997 counts 100, 10 and 1 times the percentages; by hand
    for parts, index in (
        ([((0, 100), ("aq_chronic_3",)), ((0, 100), ("aq_chronic_3",))], 100),
        ([((0, 100), ("aq_chronic_2",)), ((0, 100), ("aq_chronic_3",))], 1000),
        ([((95, 100), ()), ((0, 100), ("aq_chronic_2",))], 50),
        ([(40, ()), *(((0, most), (f"aq_chronic_{place}",)) for place, most in ((1, 30), (2, 100), (3, 100)))], 3300),
    ):
        assert mixture_of(*parts)["chronic_aquatic_index"][1] == index, parts
    assert mixture_of(((95, 100), ()), ((0, 100), ("eye_dam_1",)), ((0, 100), ("eye_dam_1",)))["h318_percent"] == (0, 5)
