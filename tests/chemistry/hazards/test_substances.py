from collections.abc import Mapping

import pytest
from molmass import Formula

from chemistry.hazards import substances
from chemistry.hazards.classes import CLASSES
from chemistry.hazards.ingredients import ROUTES
from chemistry.hazards.storage import GROUPS
from chemistry.hazards.substances import SUBSTANCES
from chemistry.solution import sulfate

BLUE_CRYSTALS = SUBSTANCES["copper_sulfate_pentahydrate"]
PALE_POWDER = SUBSTANCES["copper_sulfate_anhydrous"]
WATER = SUBSTANCES["water"]


def known(fact):
    """The substances of which a fact is on record, each with a name for its test."""
    return [pytest.param(each, id=each.key) for each in SUBSTANCES.values() if getattr(each, fact)]


@pytest.mark.parametrize("substance", known("molar_mass_g_per_mol"))
def test_molar_mass_is_that_of_molmass(substance):
    # molmass writes water of crystallisation in brackets, and takes carbon as 12.0107 where IUPAC rounds to 12.011
    formula = substance.formula.replace("·5H2O", "(H2O)5").replace("·H2O", "(H2O)")

    assert substance.molar_mass_g_per_mol.value == pytest.approx(Formula(formula).mass, rel=3e-5)


@pytest.mark.parametrize("substance", known("cas"))
def test_cas_number_ends_in_its_own_check_digit(substance):
    # Chemical Abstracts Service: the digits from the right times 1, 2, 3..., modulo 10
    *digits, check = substance.cas.value.replace("-", "")

    assert sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1)) % 10 == int(check)


def test_facts_agree_with_the_constants_of_the_sums():
    assert BLUE_CRYSTALS.molar_mass_g_per_mol.value == sulfate.BLUE_CRYSTALS_G_PER_MOL
    assert PALE_POWDER.molar_mass_g_per_mol.value == sulfate.ANHYDROUS_G_PER_MOL
    assert WATER.molar_mass_g_per_mol.value == pytest.approx(Formula("H2O").mass, abs=0.0015)
    assert BLUE_CRYSTALS.density_g_per_ml.value == sulfate.BLUE_CRYSTALS_G_PER_ML
    assert WATER.density_g_per_ml.value == pytest.approx(sulfate.water_density_g_per_ml(20), abs=1e-6)


def test_a_gram_of_pale_powder_counts_as_more_than_a_gram_of_blue_crystals():
    assert PALE_POWDER.blue_crystals_per_g == pytest.approx(1.5644, abs=0.0001)
    assert BLUE_CRYSTALS.blue_crystals_per_g == 1
    assert WATER.blue_crystals_per_g == 0


def test_both_salts_bring_the_same_copper_for_the_same_blue_crystals():
    in_powder = PALE_POWDER.copper_share / PALE_POWDER.blue_crystals_per_g

    assert in_powder == pytest.approx(BLUE_CRYSTALS.copper_share)
    assert BLUE_CRYSTALS.copper_share == pytest.approx(0.2545, abs=0.0001)
    assert WATER.copper_share == 0


def test_a_molar_mass_not_known_needs_info_and_is_never_nought():
    unknown = substances.Substance(key="blue_mud", name="blue mud", formula="", copper_atoms=1, is_copper_sulfate=True)

    assert unknown.copper_share is None
    assert unknown.blue_crystals_per_g is None


def test_heaped_crystals_have_a_range_and_the_pale_powder_needs_info():
    heaped = BLUE_CRYSTALS.bulk_density_g_per_ml

    assert (heaped.low, heaped.value, heaped.high) == (1.02, 1.15, 1.28)
    assert PALE_POWDER.bulk_density_g_per_ml is None


def facts_of(record):
    for name in record.__slots__:
        value = getattr(record, name)
        if isinstance(value, substances.Fact):
            yield value
        elif isinstance(value, substances.SubstanceHazards):
            yield from facts_of(value)
        elif isinstance(value, Mapping):
            yield from value.values()
        elif isinstance(value, tuple):
            yield from (each for each in value if isinstance(each, substances.Fact))


def test_every_fact_names_its_source():
    facts = [fact for substance in SUBSTANCES.values() for fact in facts_of(substance)]

    assert len(facts) > 300
    assert all(fact.source for fact in facts)
    assert {fact.grade for fact in facts} == {
        "read",
        "secondary",
        "computed",
        "ours",
        "common practice",
        "from memory",
    }


def test_nobody_can_change_a_fact_at_run_time():
    with pytest.raises(AttributeError):
        BLUE_CRYSTALS.cas = None
    with pytest.raises(TypeError):
        SUBSTANCES["water"] = BLUE_CRYSTALS


def test_what_rests_on_memory_stands_only_until_the_sheet_replaces_it():
    hazards = BLUE_CRYSTALS.hazards

    assert hazards.ate["oral"].grade == "from memory"
    assert hazards.ate["oral"].is_default
    assert hazards.classes.grade == "read"
    assert not hazards.classes.is_default


def test_the_workshop_knows_what_a_print_studio_owns():
    assert len(SUBSTANCES) == 52
    for group in ("acid", "weak acid", "base", "ammonia", "carbonate", "oxidiser", "bleach", "pigment", "steel"):
        assert any(group in each.hazards.storage_groups.value for each in SUBSTANCES.values() if each.key != "water")


def test_every_name_means_one_substance():
    names = [
        (name, key)
        for key, entry in substances.NAMES.items()
        for name in (SUBSTANCES[key].name, *entry.get("sold", ()))
    ]
    by_name = {substances.as_named(name): key for name, key in names}

    assert substances.NAMES.keys() <= SUBSTANCES.keys()
    # its own name may be told again among the others
    assert all(by_name[substances.as_named(name)] == key for name, key in names)
    assert all(substances.recognised(name).substance.key == key for name, key in names)


@pytest.mark.parametrize(
    ("name", "key", "of_part", "percent"),
    [
        ("Muriatic acid", "hydrochloric_acid", False, (100, 100)),
        ("muriatic acid, 31 %", "hydrochloric_acid", True, (31, 31)),
        ("Sulphuric acid", "sulfuric_acid", False, (100, 100)),
        ("Battery acid", "sulfuric_acid", False, (100, 100)),
        ("Hydrogen peroxide", "hydrogen_peroxide_35pct", False, (100, 100)),
        ("Hydrogen peroxide, 3 %", "hydrogen_peroxide_3pct", False, (100, 100)),
        ("Hydrogen peroxide 12-35%", "hydrogen_peroxide_35pct", True, (12, 35)),
        ("Hydrogen peroxide 6,5 %", "hydrogen_peroxide_35pct", True, (6.5, 6.5)),
        ("Household bleach", "sodium_hypochlorite", False, (100, 100)),
        ("Sodium hypochlorite 12.5 %", "sodium_hypochlorite_strong", True, (12.5, 12.5)),
        ("Baking soda", "sodium_bicarbonate", False, (100, 100)),
        ("Bicarbonate of soda", "sodium_bicarbonate", False, (100, 100)),
        ("Whiting", "calcium_carbonate", False, (100, 100)),
        ("MEK", "butanone", False, (100, 100)),
        ("Methyl alcohol", "methanol", False, (100, 100)),
        ("Citrus solvent", "d_limonene", False, (100, 100)),
        ("D-Limonene", "d_limonene", False, (100, 100)),
        ("Boiled linseed oil", "linseed_oil", False, (100, 100)),
        ("Burnt plate oil", "linseed_oil", False, (100, 100)),
        ("Cobalt drier", "cobalt_drier", False, (100, 100)),
        ("Flake white", "lead_white", False, (100, 100)),
        ("Cadmium red", "cadmium_pigment", False, (100, 100)),
        ("Chrome yellow", "chrome_yellow", False, (100, 100)),
        ("Potassium bichromate", "potassium_dichromate", False, (100, 100)),
        ("Chlorate of potash", "potassium_chlorate", False, (100, 100)),
        ("pH minus", "sodium_bisulfate", False, (100, 100)),
        ("Jewellers’ pickle", "sodium_bisulfate", False, (100, 100)),
        ("Citric acid", "citric_acid", False, (100, 100)),
        ("Brass sheet", "brass", False, (100, 100)),
        ("Zinc plate", "zinc_metal", False, (100, 100)),
        ("Zinc dust", "zinc_powder", False, (100, 100)),
        ("Aluminum sheet", "aluminium_metal", False, (100, 100)),
        ("Steel wool", "steel", False, (100, 100)),
    ],
)
def test_a_pack_is_known_by_the_name_on_it(name, key, of_part, percent):
    found = substances.recognised(name)

    assert (found.substance.key, found.of_part) == (key, of_part)
    assert (found.low_percent, found.high_percent) == percent


@pytest.mark.parametrize("name", ["", "Acetone-free remover", "Zinc white", "Copper sulfate", "Ink 40 %", "Bleach 0 %"])
def test_what_only_sounds_like_it_is_not_taken_for_it(name):
    assert substances.recognised(name) is None


@pytest.mark.parametrize(
    ("number", "key", "of_part"),
    [
        ("7722-84-1", "hydrogen_peroxide_35pct", True),
        ("7681-52-9", "sodium_hypochlorite_strong", True),
        ("64-19-7", "acetic_acid_glacial", False),
        ("7697-37-2", "nitric_acid", True),
        ("7647-01-0", "hydrochloric_acid", True),
        ("7440-66-6", "zinc_powder", False),
        ("67-64-1", "acetone", False),
    ],
)
def test_a_number_on_a_sheet_means_the_strongest_that_has_it(number, key, of_part):
    found = substances.recognised_part(number)

    assert (found.substance.key, found.of_part) == (key, of_part)


@pytest.mark.parametrize("substance", [pytest.param(each, id=each.key) for each in SUBSTANCES.values()])
def test_a_substance_has_known_classes_and_storage_groups(substance):
    hazards = substance.hazards

    assert set(hazards.classes.value) <= CLASSES.keys()
    assert {id for id, _ in (hazards.specific_limits.value if hazards.specific_limits else ())} <= CLASSES.keys()
    assert set(hazards.storage_groups.value if hazards.storage_groups else ()) <= GROUPS.keys()
    assert set(hazards.ate) <= ROUTES.keys()


def test_copper_in_the_sludges_agrees_with_their_formulas():
    carbonate = SUBSTANCES["copper_basic_carbonate"]
    hydroxide = SUBSTANCES["copper_hydroxide"]

    assert carbonate.copper_share == pytest.approx(0.5748, abs=0.0001)
    assert hydroxide.copper_share == pytest.approx(0.6514, abs=0.0001)
