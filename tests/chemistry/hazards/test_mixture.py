import itertools
from fractions import Fraction

import pytest

from chemistry.hazards import mixture
from chemistry.hazards.acute import acute_toxicity
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import ingredient_of
from chemistry.hazards.ingredients import unnamed_percent
from chemistry.hazards.mixture import NOT_TOXIC, Ingredient, classify, most_severe
from chemistry.hazards.regimes import REGIMES
from chemistry.hazards.substances import SUBSTANCES


def known(name, percent, *classes, **facts):
    return Ingredient(name, percent, classes, NOT_TOXIC, **facts)


def water(percent):
    return known("water", percent)


def in_water(percent, *classes, **facts):
    high = percent[1] if isinstance(percent, tuple) else percent
    return [known("the salt", percent, *classes, **facts), water(100 - Fraction(str(high)))]


def classes_at(percent, *classes, regime="EU", **facts):
    return classify(in_water(percent, *classes, **facts), regime).classes


@pytest.mark.parametrize(
    ("percent", "class_id", "regime", "gives"),
    [
        (5, "skin_corr_1", "EU", ("skin_corr_1", "eye_dam_1")),
        (4.99, "skin_corr_1", "EU", ("skin_irrit_2", "eye_dam_1")),
        (2.99, "skin_corr_1", "EU", ("skin_irrit_2", "eye_irrit_2")),
        (0.99, "skin_corr_1", "EU", ()),
        (10, "skin_irrit_2", "EU", ("skin_irrit_2",)),
        (9.99, "skin_irrit_2", "EU", ()),
        (9.99, "skin_irrit_2", "UN", ("skin_irrit_3",)),
        (10, "skin_irrit_3", "UN", ("skin_irrit_3",)),
        (3, "eye_dam_1", "EU", ("eye_dam_1",)),
        (1, "eye_dam_1", "EU", ("eye_irrit_2",)),
        (10, "eye_irrit_2", "EU", ("eye_irrit_2",)),
        (9.99, "eye_irrit_2", "EU", ()),
        (10, "eye_irrit_2b", "UN", ("eye_irrit_2b",)),
        (10, "eye_irrit_2b", "US", ("eye_irrit_2b",)),
        (10, "eye_irrit_2b", "EU", ("eye_irrit_2",)),
        (1, "skin_sens_1", "EU", ("skin_sens_1",)),
        (0.99, "skin_sens_1", "EU", ()),
        (0.1, "skin_sens_1", "US", ("skin_sens_1",)),
        (1, "resp_sens_1", "EU", ("resp_sens_1",)),
        (0.1, "resp_sens_1", "US", ("resp_sens_1",)),
        (0.1, "muta_1", "EU", ("muta_1",)),
        (1, "muta_2", "EU", ("muta_2",)),
        (0.1, "carc_1", "EU", ("carc_1",)),
        (1, "carc_2", "EU", ("carc_2",)),
        (0.99, "carc_2", "EU", ()),
        (0.1, "carc_2", "US", ("carc_2",)),
        (0.3, "repr_1", "EU", ("repr_1",)),
        (3, "repr_2", "EU", ("repr_2",)),
        (2.99, "repr_2", "EU", ()),
        (0.1, "repr_2", "US", ("repr_2",)),
        (20, "stot_se_3_resp", "EU", ("stot_se_3_resp",)),
        (19.9, "stot_se_3_narc", "EU", ()),
        (10, "stot_se_1", "EU", ("stot_se_1",)),
        (9.9, "stot_se_1", "EU", ("stot_se_2",)),
        (9.9, "stot_se_1", "US", ("stot_se_1",)),
        (10, "stot_re_1", "EU", ("stot_re_1",)),
        (1, "stot_re_1", "EU", ("stot_re_2",)),
        (1, "stot_re_1", "US", ("stot_re_1",)),
        (10, "stot_re_2", "EU", ("stot_re_2",)),
        (9.9, "stot_re_2", "EU", ()),
        (10, "asp_1", "EU", ("asp_1",)),
        (9.9, "asp_1", "EU", ()),
        (25, "aq_acute_1", "EU", ("aq_acute_1",)),
        (24.9, "aq_acute_1", "EU", ()),
        (24.9, "aq_acute_1", "UN", ("aq_acute_2",)),
        (0.25, "aq_acute_1", "UN", ("aq_acute_3",)),
        (25, "aq_chronic_1", "EU", ("aq_chronic_1",)),
        (2.5, "aq_chronic_1", "EU", ("aq_chronic_2",)),
        (0.25, "aq_chronic_1", "EU", ("aq_chronic_3",)),
        (25, "aq_chronic_2", "EU", ("aq_chronic_2",)),
        (2.5, "aq_chronic_2", "EU", ("aq_chronic_3",)),
        (25, "aq_chronic_3", "EU", ("aq_chronic_3",)),
        (25, "aq_chronic_4", "EU", ("aq_chronic_4",)),
        (25, "aq_acute_1", "US", ()),
    ],
)
def test_a_limit_holds_from_its_own_percentage_on(percent, class_id, regime, gives):
    # limits of CLP Annex I, UN GHS and 29 CFR 1910.1200 App. A, as named line by line in data/limits.toml
    assert classes_at(percent, class_id, regime=regime) == gives


def test_skin_and_eye_ingredients_add_up_with_their_weights():
    # 10 x category 1 + category 2 >= 10 %: UN GHS and CLP Tables 3.2.3, 3.3.3
    half = [known("lye", 0.99, "skin_corr_1"), known("soap", 9.5, "skin_irrit_2")]
    weighed = [known("lye", Fraction(11, 10), "skin_corr_1"), known("soap", 1, "skin_irrit_2")]

    assert classify(half, "EU").classes == ()
    assert classify(weighed, "EU").classes == ("skin_irrit_2", "eye_irrit_2")


def test_two_weak_irritants_add_up():
    assert classify([known("a", 6, "eye_irrit_2"), known("b", 4, "eye_irrit_2")], "EU").classes == ("eye_irrit_2",)


def test_mild_and_plain_eye_irritants_together_count_as_the_plain_one():
    together = [known("a", 6, "eye_irrit_2"), known("b", 4, "eye_irrit_2b")]

    assert classify(together, "UN").classes == ("eye_irrit_2",)


def test_sensitisers_do_not_add_up():
    assert classify([known("a", 0.6, "skin_sens_1"), known("b", 0.6, "skin_sens_1")], "EU").classes == ()


@pytest.mark.parametrize(
    ("percent", "gives"),
    [(0.99, ()), (1, ("eye_dam_1",)), (2.99, ("eye_dam_1",))],
)
def test_what_acts_on_its_own_damages_eyes_from_1_percent(percent, gives):
    assert classes_at(percent, "eye_dam_1", additive_eye=False) == gives


def test_what_acts_on_its_own_irritates_from_3_percent():
    assert classes_at(3, "eye_irrit_2", additive_eye=False) == ("eye_irrit_2",)
    assert classes_at(2.99, "eye_irrit_2", additive_eye=False) == ()
    assert classes_at(3, "skin_irrit_2", additive_eye=False) == ("skin_irrit_2",)


@pytest.mark.parametrize(
    ("percent", "gives"),
    [
        (9.9, ()),
        (10, ("skin_irrit_2", "eye_irrit_2")),
        (24.9, ("skin_irrit_2", "eye_irrit_2")),
        (25, ("skin_corr_1", "eye_dam_1")),
    ],
)
def test_the_specific_limits_of_acetic_acid_go_before_the_generic_ones(percent, gives):
    # CLP Annex VI, acetic acid, from memory; without them 1 % would irritate and 3 % damage an eye
    found = classify([ingredient_of("acetic_acid_glacial", percent), water(70)], "EU", flash_point_c=95)

    assert found.classes == gives


@pytest.mark.parametrize(
    ("percent", "gives"),
    [
        (0.4, ()),
        (0.5, ("skin_irrit_2", "eye_irrit_2")),
        (2, ("skin_corr_1", "eye_dam_1")),
    ],
)
def test_a_specific_limit_below_the_cut_off_counts_too(percent, gives):
    # CLP Annex VI, sodium hydroxide, from memory
    found = classify([ingredient_of("sodium_hydroxide", percent), water(90)], "EU")

    assert tuple(id for id in found.classes if id != "met_corr_1") == gives


def test_a_specific_limit_adds_up_with_the_generic_limits_of_others():
    # ECHA guidance on CLP: sum of percent / limit, specific or generic, from memory
    lye = known("lye", 1, "skin_corr_1", specific_limits=(("skin_corr_1", 2),))
    other = known("other", 2.5, "skin_corr_1")

    assert "skin_corr_1" in classify([lye, other], "EU").classes


def test_peroxide_as_sold_has_limits_by_its_active_part():
    # 3 % solution: no percentage of it reaches 5 % of peroxide
    assert classify([ingredient_of("hydrogen_peroxide_3pct", 100)], "EU").classes == ()
    # ammonia of at most 25 %: 5 % of ammonia is a fifth of the solution
    assert "stot_se_3_resp" in classify([ingredient_of("ammonia_solution", 20), water(80)], "EU").classes
    assert "stot_se_3_resp" not in classify([ingredient_of("ammonia_solution", 19.9), water(80)], "EU").classes


@pytest.mark.parametrize(
    ("ph", "corrosive"), [(2, True), (2.01, False), (7, False), (11.49, False), (11.5, True), (-1, True), (14, True)]
)
def test_only_an_extreme_ph_corrodes(ph, corrosive):
    found = classify([water(100)], "EU", ph=ph)

    assert found.classes == (("skin_corr_1", "eye_dam_1") if corrosive else ())


def test_the_ph_is_asked_for_until_it_is_measured_or_cannot_change_the_class():
    vinegar, lye = [ingredient_of("acetic_acid_5pct", 100)], [ingredient_of("sodium_hydroxide", 5), water(95)]

    assert "pH of the mixture: measure it" in classify(vinegar, "EU").needs_info
    assert classify(vinegar, "EU", ph=2.4).needs_info == ()
    assert "pH of the mixture: measure it" not in classify(lye, "EU").needs_info


@pytest.mark.parametrize(
    ("flash_point_c", "boiling_point_c", "regime", "gives"),
    [
        (22.9, 35, "EU", ("flam_liq_1",)),
        (22.9, 35.1, "EU", ("flam_liq_2",)),
        (23, 35, "EU", ("flam_liq_3",)),
        (60, 150, "EU", ("flam_liq_3",)),
        (60.1, 150, "EU", ()),
        (60.1, 150, "UN", ("flam_liq_4",)),
        (93, 150, "US", ("flam_liq_4",)),
        (93.1, 150, "UN", ()),
    ],
)
def test_flash_and_boiling_point_give_the_category(flash_point_c, boiling_point_c, regime, gives):
    # UN GHS and CLP Table 2.6.1; 29 CFR 1910.1200 App. B.6
    found = classify([water(100)], regime, flash_point_c=flash_point_c, boiling_point_c=boiling_point_c)

    assert found.classes == gives


def test_a_flash_point_is_never_averaged():
    mostly_spirit = [ingredient_of("white_spirit", 99), ingredient_of("acetone", 1)]

    unmeasured = classify(mostly_spirit, "EU")
    measured = classify(mostly_spirit, "EU", flash_point_c=30)

    assert "flam_liq_2" in unmeasured.classes
    assert "flash point of the mixture" in unmeasured.needs_info
    assert "flam_liq_3" in measured.classes
    assert "flash point of the mixture" not in measured.needs_info


def test_a_measured_flash_point_takes_its_boiling_point_from_the_classes_of_the_ingredients():
    solvent = [ingredient_of("acetone", 100)]
    mystery = [Ingredient("a mystery", 100)]
    half_named = [ingredient_of("acetone", 50)]

    assert "flam_liq_2" in classify(solvent, "EU", flash_point_c=-18).classes
    assert "flam_liq_1" in classify(mystery, "EU", flash_point_c=-18).classes
    assert "flam_liq_1" in classify(half_named, "EU", flash_point_c=-18).classes
    assert "boiling point of the mixture" in classify(mystery, "EU", flash_point_c=-18).needs_info


@pytest.mark.parametrize(("viscosity", "gives"), [(None, ("asp_1",)), (20.5, ("asp_1",)), (20.51, ())])
def test_what_pours_too_slowly_is_no_aspiration_hazard(viscosity, gives):
    found = classify(in_water(50, "asp_1"), "EU", viscosity_mm2_per_s=viscosity)

    assert found.classes == gives
    assert ("kinematic viscosity of the mixture at 40 °C" in found.needs_info) is (viscosity is None)


def test_a_class_that_only_a_test_decides_stays_and_asks_for_the_test():
    found = classify(in_water(10, "met_corr_1"), "UN")

    assert found.classes == ("met_corr_1",)
    assert found.needs_info == ("a test whether the mixture is corrosive to metals (the salt)",)
    assert classify([known("the salt", 100, "met_corr_1")], "UN").needs_info == ()


def test_a_range_counts_at_its_high_end():
    assert classes_at((1, 30), "aq_chronic_1") == ("aq_chronic_1",)
    assert classes_at((1, 24), "aq_chronic_1") == ("aq_chronic_2",)


def test_a_range_may_leave_something_unnamed():
    found = classify([known("the salt", (10, 20)), water((80, 88))], "EU")

    assert "what the other 10 % of the mixture is" in found.needs_info


# the ranges of a sheet, and how much of the mixture they leave unnamed
RANGES = [
    ([], 100),
    ([(5, 10)], 95),
    ([(5, 100)], 95),
    ([(98, 100)], 2),
    ([(0, 100)], 100),
    ([(100, 100)], 0),
    ([(62, 70), (30, 38)], 0),
    ([(62, 70), (30, 37)], 8),
    ([(40, 60), (30, 40), (5, 20)], 0),
    ([(30, 60), (10, 50)], 60),
    ([(60, 60), (40, 40)], 0),
    ([(60, 60), (39.5, 39.5)], 0.5),
    ([(0, 100), (0, 100)], 0),
]


def test_ranges_are_solved_together():
    for ranges, unnamed in RANGES:
        parts = [known(f"part {place}", ends) for place, ends in enumerate(ranges)]
        assert unnamed_percent(parts) == Fraction(str(unnamed)), ranges
        # whatever the true shares are, each within its range, no more than that is left over
        least, most = sum(low for low, _ in ranges), sum(high for _, high in ranges)
        assert unnamed >= max(0, 100 - most) and unnamed <= 100 - least, ranges


# ranges and oral estimates (None: not toxic), and that of the worst mixture by hand: 100 / Σ percent / estimate
TOGETHER = [
    ([((0, 100), 500), ((0, 100), 481)], "481"),
    ([((0, 100), 500), ((0, 100), 481), ((0, 100), 2000)], "481"),
    ([((95, 100), None), ((0, 100), 481)], "9620"),  # 5 %
    ([((50, 50), None), ((0, 100), 500), ((0, 100), 481)], "962"),  # 50 % of the second
    ([((50, 50), None), ((0, 100), 500), ((0, 30), 250)], "625"),  # 30 % / 250 + 20 % / 500
    ([((20, 100), 2000), ((0, 100), 500)], "588.2"),  # 20 % / 2000 + 80 % / 500
    ([((60, 60), 500), ((40, 40), 481)], "492.2"),
]


def test_no_mixture_is_worse_than_a_whole_one_can_be():
    for parts, estimate in TOGETHER:
        ingredients = [
            Ingredient(f"part {place}", ends, (), NOT_TOXIC if own is None else {"oral": own})
            for place, (ends, own) in enumerate(parts)
        ]
        found = acute_toxicity(ingredients, "oral", "EU").ate
        # whatever a whole mixture is made of, in steps of 5 %
        shares = itertools.product(*(range(low, high + 1, 5) for (low, high), _ in parts))
        toxicities = [
            sum(share / own for share, (_, own) in zip(each, parts, strict=True) if own)
            for each in shares
            if sum(each) == 100
        ]

        assert round(float(found), 1) == float(estimate), parts
        assert 100 / max(toxicities) == pytest.approx(float(found)), parts


def test_shares_of_one_limit_leave_room_for_each_other():
    hydrogen_chloride = ingredient_of("hydrochloric_acid", (0, 100), of_part=True)  # from 25 % on corrosive
    sulfuric = ingredient_of("sulfuric_acid", (0, 100), of_part=True)  # from 15 % on
    for least_water, corrodes in ((90, False), (85, True), (0, True)):
        # of 10 % acid sulfuric does most: 10 / 15; each 10 % would be 10 / 15 + 10 / 25, above 1
        found = classify([water((least_water, 100)), hydrogen_chloride, sulfuric], "EU")
        assert ("skin_corr_1" in found.classes) is corrodes, least_water
    two = [known(name, (0, 2), "eye_dam_1") for name in ("one", "other")]
    assert "eye_dam_1" in classify([water(96), *two], "EU").classes  # 2 / 3 + 2 / 3
    assert "eye_dam_1" not in classify([water(98), *two], "EU").classes  # 2 / 3 together


def test_hydroxide_beside_salt_is_as_toxic_as_the_worse_of_them():
    mud = [ingredient_of(key, (0, 100)) for key in ("copper_hydroxide", "copper_sulfate_pentahydrate", "water")]

    found = classify(mud, "EU").classes

    assert "acute_oral_4" in found and "acute_oral_3" not in found


def test_of_whatever_is_named_in_part_the_rest_is_of_unknown_toxicity():
    for key in SUBSTANCES:
        for regime in ("UN", "EU", "GB", "US"):
            found = classify([ingredient_of(key, (5, 10))], regime)
            shares = [each for each in found.needs_info if mixture.unknown_share(each)]

            assert found.unclassified_percent in (95, 100), key
            assert shares and all(each.startswith(("up to 95 %", "100 %")) for each in shares), (key, shares)
            # every way in is told once: unnamed is unknown by all of them
            assert [sum(way in each for each in shares) for way, _ in mixture.WAYS_IN] == [1, 1, 1], (key, shares)


def test_an_m_factor_lowers_the_cut_off():
    # 0.1 / M %: CLP 4.1.3.1
    assert classes_at(0.05, "aq_chronic_1", m_chronic=100) == ("aq_chronic_2",)
    assert classes_at(0.0009, "aq_chronic_1", m_chronic=100, regime="UN") == ()


def test_the_safety_net_category_does_not_count_m():
    found = classify([known("a", 0.2, "aq_chronic_1"), known("b", 24.8, "aq_chronic_4")], "EU")

    assert found.classes == ("aq_chronic_4",)


def test_us_rules_tell_the_environment_apart():
    found = classify(in_water(30, "aq_chronic_1"), "US")

    assert found.classes == ()
    assert found.environment == ("aq_chronic_1",)
    assert "Environment" in mixture.left_out("US")
    assert mixture.left_out("EU") == mixture.left_out("UN") == ""


def test_every_class_of_a_classification_belongs_to_its_regime():
    everything = [known(id, 1, id) for id in CLASSES]

    for regime in REGIMES:
        assert all(regime in CLASSES[id].regimes for id in classify(everything, regime).classes)


def test_every_line_of_the_working_names_its_source_and_leads_to_the_classes():
    found = classify([ingredient_of("turpentine", 60), ingredient_of("rosin", 40)], "EU", ph=2)

    assert all(line.source for line in found.working)
    assert most_severe(line.gives for line in found.working if line.gives) == found.classes


def test_a_limit_not_reached_is_shown_too():
    (line,) = classify(in_water(10, "aq_chronic_3"), "EU").working[:1]

    assert str(line) == (
        "the salt 10 % / 25 % = 0.4: below 1, so not Hazardous to the aquatic environment, long-term, category 3"
    )
    assert line.gives is None


def test_what_rests_on_memory_is_told():
    found = classify([ingredient_of("acetone", 100)], "EU")

    assert found.defaults == (
        "acetone: classes, acute toxicity (dermal) from memory; replace with your supplier's sheet",
    )


def test_papers_take_the_stricter_of_two_regimes():
    everywhere = [classify(in_water(9.9, "stot_re_1"), regime).classes for regime in ("EU", "US")]

    assert everywhere == [("stot_re_2",), ("stot_re_1",)]
    assert most_severe(id for classes in everywhere for id in classes) == ("stot_re_1",)


@pytest.mark.parametrize(
    ("nonsense", "refusal"),
    [
        ({"percent": -1}, "percent of it must lie between 0 and 100"),
        ({"percent": 101}, "percent of it must lie between 0 and 100"),
        ({"percent": (30, 20)}, "low end first"),
        ({"percent": float("nan")}, "nan is not a number"),
        ({"percent": float("inf")}, "inf is not a number"),
        ({"classes": ("flammable",)}, "no such hazard class: flammable"),
        ({"ate": {"eye": 100}}, "route of it must be one of"),
        ({"ate": {"oral": 0}}, "must be above 0"),
        ({"m_acute": 0}, "M-factor of it must be 1 or more"),
        ({"specific_limits": (("eye_dam_1", 0),)}, "specific limit of it must be above 0 %"),
        ({"specific_limits": (("blind", 1),)}, "no such hazard class: blind"),
    ],
)
def test_a_nonsense_ingredient_is_refused(nonsense, refusal):
    with pytest.raises(ValueError, match=refusal):
        Ingredient(**{"name": "it", "percent": 10} | nonsense)


def test_more_than_the_whole_and_an_unknown_regime_are_refused():
    with pytest.raises(ValueError, match="more than 100 %"):
        classify([water(60), water(41)], "EU")
    with pytest.raises(ValueError, match="regime must be one of UN, EU, GB, US, not 'CLP'"):
        classify([water(100)], "CLP")


@pytest.mark.parametrize(
    ("reading", "refusal"),
    [
        ({"ph": 31}, "pH must be between -2 and 16, not 31"),
        ({"ph": float("nan")}, "pH must be between"),
        ({"flash_point_c": 900}, "flash point must be between -150 and 500 °C, not 900"),
        ({"flash_point_c": 20, "boiling_point_c": -273}, "boiling point must be between"),
        ({"viscosity_mm2_per_s": -1}, "viscosity must be between"),
    ],
)
def test_a_reading_that_no_instrument_shows_is_refused(reading, refusal):
    with pytest.raises(ValueError, match=refusal):
        classify([water(100)], "EU", **reading)


@pytest.mark.parametrize(("region", "regime"), [("eu", "EU"), ("gb", "GB"), ("us", "US"), ("elsewhere", "UN")])
def test_a_workshop_follows_the_rules_of_its_region(region, regime):
    assert mixture.regime_of(region) == regime
