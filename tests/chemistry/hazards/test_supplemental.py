"""What a label adds to its classes, and the entries whose limits do not add up."""

import pytest

from chemistry.hazards.classes import CLASSES
from chemistry.hazards.composition import classify_as_sold, ingredient_of
from chemistry.hazards.mixture import NOT_TOXIC, UNKNOWN, Ingredient, classify
from chemistry.hazards.regimes import CLP, REGIMES
from chemistry.hazards.storage import with_kin
from chemistry.hazards.substances import SUBSTANCES

DRIES = "Repeated exposure may cause skin dryness or cracking."
CORRODES = "Corrosive to the respiratory tract."
ALLERGY = "Contains it. May produce an allergic reaction."
DUST = "Its dust, stirred up in air, can explode."
STRONG = (("skin_sens_1", 0.1),)  # category 1A
STRONG_IN_AIR = (("resp_sens_1", 0.1),)

# percent, classes, facts, what a CLP label adds: CLP Annex II 1.2.4, 1.2.6, 2.8; Annex I Tables 3.4.5 and 3.4.6
ADDED = [
    # EUH208, category 1: from a tenth of 1 %, below 1 %
    (0.099, ["skin_sens_1"], {}, []),
    (0.1, ["skin_sens_1"], {}, [ALLERGY]),
    (0.999, ["skin_sens_1"], {}, [ALLERGY]),
    (1, ["skin_sens_1"], {}, []),
    ((0, 0.1), ["skin_sens_1"], {}, [ALLERGY]),
    (0.1, ["resp_sens_1"], {}, [ALLERGY]),
    (1, ["resp_sens_1"], {}, []),
    (0.5, ["skin_irrit_2"], {}, []),
    # category 1A: from a tenth of 0.1 %, below 0.1 %
    (0.0099, ["skin_sens_1"], {"specific_limits": STRONG}, []),
    (0.01, ["skin_sens_1"], {"specific_limits": STRONG}, [ALLERGY]),
    (0.0999, ["skin_sens_1"], {"specific_limits": STRONG}, [ALLERGY]),
    (0.1, ["skin_sens_1"], {"specific_limits": STRONG}, []),
    (0.01, ["resp_sens_1"], {"specific_limits": STRONG_IN_AIR}, [ALLERGY]),
    # a limit of its own: from a tenth of that
    (0.0009, ["skin_sens_1"], {"specific_limits": (("skin_sens_1", 0.01),)}, []),
    (0.001, ["skin_sens_1"], {"specific_limits": (("skin_sens_1", 0.01),)}, [ALLERGY]),
    # one way in strong enough to classify, the other not: it is still named
    (0.1, ["skin_sens_1", "resp_sens_1"], {"specific_limits": STRONG}, [ALLERGY]),
    # EUH066: where the mixture is not classed as irritating or corrosive to skin
    (0.99, [], {"euh": ("EUH066",)}, []),
    (1, [], {"euh": ("EUH066",)}, [DRIES]),
    (100, ["flam_liq_2"], {"euh": ("EUH066",)}, [DRIES]),
    (9.99, ["skin_irrit_2"], {"euh": ("EUH066",)}, [DRIES]),
    (10, ["skin_irrit_2"], {"euh": ("EUH066",)}, []),
    (5, ["skin_corr_1"], {"euh": ("EUH066",)}, []),
    (5, ["skin_corr_1"], {"euh": ("EUH066",), "ate": UNKNOWN}, [CORRODES]),
    (100, ["flam_liq_2"], {}, []),
    # EUH031, beside whatever else it is
    (0.99, ["eye_irrit_2"], {"euh": ("EUH031",)}, []),
    (1, ["eye_irrit_2"], {"euh": ("EUH031",)}, ["Contact with acids liberates toxic gas."]),
    (5, ["skin_corr_1"], {"euh": ("EUH031",)}, ["Contact with acids liberates toxic gas."]),
    (5, ["skin_corr_1"], {"euh": ("EUH031",), "ate": UNKNOWN}, ["Contact with acids liberates toxic gas.", CORRODES]),
    # EUH071: corrosive to skin, and nobody tested what breathing it does; a test by mouth is none
    (4.99, ["skin_corr_1"], {"ate": UNKNOWN}, []),
    (5, ["skin_corr_1"], {"ate": UNKNOWN}, [CORRODES]),
    (5, ["skin_corr_1"], {"ate": {"oral": 500}}, [CORRODES]),
    (0.99, ["skin_corr_1"], {"ate": UNKNOWN, "additive_eye": False}, []),
    (1, ["skin_corr_1"], {"ate": UNKNOWN, "additive_eye": False}, [CORRODES]),
    (2, ["skin_irrit_2"], {"ate": UNKNOWN, "specific_limits": (("skin_corr_1", 2),)}, [CORRODES]),
    # ... tested, and not toxic to breathe; tested and toxic, and why is not known
    (5, ["skin_corr_1"], {}, []),
    (5, ["skin_corr_1"], {"ate": {"vapour": NOT_TOXIC}}, []),
    (5, ["skin_corr_1"], {"ate": {"dust": 40}}, []),
    (100, ["skin_corr_1", "acute_inh_3"], {"ate": UNKNOWN}, []),
    (100, ["skin_corr_1", "acute_inh_3"], {"ate": {"vapour": 3}}, []),
    # ... toxic to breathe, or burning skin, and known to corrode airways
    (100, ["acute_inh_3"], {"ate": {"vapour": 3}, "euh": ("EUH071",)}, [CORRODES]),
    (1, ["acute_inh_3"], {"ate": {"vapour": 3}, "euh": ("EUH071",)}, []),
    (5, ["skin_corr_1"], {"euh": ("EUH071",)}, [CORRODES]),
    (4.99, ["skin_corr_1"], {"euh": ("EUH071",)}, []),
    (100, ["eye_dam_1"], {"ate": UNKNOWN}, []),
    # dust has no class there
    (50, ["comb_dust"], {}, []),
    (50.1, ["comb_dust"], {}, [DUST]),
]


def mixed(percent, classes, facts):
    most = percent[1] if isinstance(percent, tuple) else percent
    parts = [Ingredient("it", percent, tuple(classes), **{"ate": NOT_TOXIC} | facts)]
    return [*parts, *([Ingredient("water", round(100 - most, 6), (), NOT_TOXIC)] if most < 100 else [])]


@pytest.mark.parametrize("regime", CLP)
def test_a_clp_label_adds_what_its_annex_asks_for(regime):
    found = {str(case): list(classify(mixed(*case[:3]), regime).supplemental) for case in ADDED}

    assert found == {str(case): case[3] for case in ADDED}


@pytest.mark.parametrize("regime", [regime for regime in REGIMES if regime not in CLP])
def test_no_other_label_adds_what_is_of_clp_alone(regime):
    found = {sentence for case in ADDED for sentence in classify(mixed(*case[:3]), regime).supplemental}

    assert found <= {DUST}


@pytest.mark.parametrize(("percent", "gives"), [(0.0999, ()), (0.1, ("skin_sens_1",)), (0.99, ("skin_sens_1",))])
@pytest.mark.parametrize("regime", REGIMES)
def test_a_sensitiser_of_category_1a_counts_from_a_tenth_of_a_percent(percent, gives, regime):
    # UN GHS and CLP Table 3.4.5; 29 CFR 1910.1200 App. A.4
    assert classify(mixed(percent, ["skin_sens_1"], {"specific_limits": STRONG}), regime).classes == gives


def test_powders_of_the_aquatint_box_are_combustible_dust_where_there_is_a_class_and_said_so_elsewhere():
    for key in ("rosin", "bitumen"):
        american, european = classify_as_sold(key, "US"), classify_as_sold(key, "EU")

        assert "comb_dust" in american.classes and american.signal_word == "Warning", key
        assert DUST not in american.supplemental, key
        assert DUST in european.supplemental and "comb_dust" not in european.classes, key


def test_powders_mixed_with_each_other_make_dust_and_a_varnish_of_them_does_not():
    both = [ingredient_of("rosin", 50), ingredient_of("bitumen", 50)]
    varnish = [ingredient_of("bitumen", 40), ingredient_of("white_spirit", 60)]

    assert DUST in classify(both, "GB").supplemental
    assert DUST not in classify(varnish, "GB").supplemental
    assert "comb_dust" not in classify(varnish, "US").classes


def test_a_label_says_what_corrodes_airways_of_what_stands_on_the_shelf():
    # CLP Annex II 1.2.6; Annex VI has EUH071 for nitric acid, and none for potassium dichromate, which was tested
    bear_it = {key for key in SUBSTANCES if CORRODES in classify_as_sold(key, "EU").supplemental}

    assert bear_it == {
        "acetic_acid_glacial",
        "sodium_hydroxide",
        "ammonia_solution",
        "nitric_acid",
        "sulfuric_acid",
        "hydrochloric_acid",
        "sodium_hypochlorite_strong",
    }


def test_what_burns_skin_by_its_ph_alone_may_corrode_airways():
    # CLP Annex I 3.2.3.1.2, Annex II 1.2.6
    bath = [Ingredient("it", 100, (), NOT_TOXIC)]

    assert CORRODES in classify(bath, "EU", ph=2).supplemental
    assert CORRODES not in classify(bath, "EU", ph=2.1).supplemental
    assert CORRODES not in classify(bath, "US", ph=2).supplemental


# who is asked for the classes of Reg. (EU) 2023/707: percent, classes, facts, whether
NEWER = [
    (0.0999, ["repr_2"], {}, False),
    (0.1, ["repr_2"], {}, True),
    ((0, 0.1), ["repr_2"], {}, True),
    (100, ["flam_liq_2"], {}, True),
    (100, [], {}, False),
    (100, ["eye_dam_1"], {"additive_eye": False}, False),
    (100, ["comb_dust"], {}, False),
]


@pytest.mark.parametrize("regime", REGIMES)
def test_newer_classes_need_info_in_the_european_union(regime):
    found = [any("EUH380" in each for each in classify(mixed(*case[:3]), regime).needs_info) for case in NEWER]

    assert found == [case[3] and regime == "EU" for case in NEWER]


def test_what_nobody_has_classed_is_asked_for_once():
    found = classify([Ingredient("it", 100, UNKNOWN)], "EU").needs_info

    assert [each for each in found if "class" in each] == ["hazard classes of it (100 %)"]


def test_great_britain_has_its_own_name_and_the_classes_of_the_union():
    for key in SUBSTANCES:
        british, european = classify_as_sold(key, "GB"), classify_as_sold(key, "EU")

        assert british.classes == european.classes, key
    assert {id for id in CLASSES if "GB" in CLASSES[id].regimes} == {
        id for id in CLASSES if "EU" in CLASSES[id].regimes
    }


def test_no_acid_and_no_base_counts_by_limits_that_add_up():
    # UN GHS and CLP 3.2.3.3.4, 3.3.3.3.4
    sour_or_alkaline = [
        key
        for key, substance in SUBSTANCES.items()
        if substance.hazards.storage_groups and {"acid", "base"} & with_kin(substance.hazards.storage_groups.value)
    ]
    adds_up = [key for key in sour_or_alkaline if ingredient_of(key, 100).additive_eye]

    assert "ammonia_solution" in sour_or_alkaline
    assert adds_up == []


# percent of what is sold, its classes in water: where nothing of its own is set, 1 % suffices
ALONE = [
    ("ammonia_solution", 0.99, set()),
    ("ammonia_solution", 1, {"skin_corr_1", "eye_dam_1"}),
    ("ammonia_solution", 19.9, {"skin_corr_1", "eye_dam_1"}),
    ("ammonia_solution", 20, {"skin_corr_1", "eye_dam_1", "stot_se_3_resp"}),
    ("nitric_acid", 0.99, set()),
    ("nitric_acid", 1, {"skin_irrit_2", "eye_dam_1"}),
    ("acetic_acid_glacial", 9.99, set()),
    ("acetic_acid_glacial", 10, {"skin_irrit_2", "eye_irrit_2"}),
    ("acetic_acid_glacial", 25, {"skin_corr_1", "eye_dam_1"}),
]
OF_SKIN_AND_EYE = {"skin_corr_1", "skin_irrit_2", "eye_dam_1", "eye_irrit_2", "stot_se_3_resp"}


def test_an_acid_or_base_thinned_with_water_counts_on_its_own():
    for key, percent, classes in ALONE:
        found = classify([ingredient_of(key, percent), Ingredient("water", round(100 - percent, 6), ())], "EU")

        assert OF_SKIN_AND_EYE & set(found.classes) == classes, (key, percent)
