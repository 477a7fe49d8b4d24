import pytest
from molmass import Formula

from chemistry import substances, sulfate
from chemistry.substances import SUBSTANCES

BLUE_CRYSTALS = SUBSTANCES["copper_sulfate_pentahydrate"]
PALE_POWDER = SUBSTANCES["copper_sulfate_anhydrous"]
WATER = SUBSTANCES["water"]


@pytest.mark.parametrize("substance", SUBSTANCES.values(), ids=lambda substance: substance.key)
def test_molar_mass_is_that_of_molmass(substance):
    # molmass writes water of crystallisation in brackets
    formula = substance.formula.replace("·5H2O", "(H2O)5")

    assert substance.molar_mass_g_per_mol.value == pytest.approx(Formula(formula).mass, abs=0.0015)


@pytest.mark.parametrize("substance", SUBSTANCES.values(), ids=lambda substance: substance.key)
def test_cas_number_ends_in_its_own_check_digit(substance):
    # Chemical Abstracts Service: the digits from the right times 1, 2, 3..., modulo 10
    *digits, check = substance.cas.value.replace("-", "")

    assert sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1)) % 10 == int(check)


def test_facts_agree_with_the_constants_of_the_sums():
    assert BLUE_CRYSTALS.molar_mass_g_per_mol.value == sulfate.BLUE_CRYSTALS_G_PER_MOL
    assert PALE_POWDER.molar_mass_g_per_mol.value == sulfate.ANHYDROUS_G_PER_MOL
    assert WATER.molar_mass_g_per_mol.value == sulfate.WATER_G_PER_MOL
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


def test_every_fact_names_its_source():
    facts = [
        fact
        for substance in SUBSTANCES.values()
        for name in substance.__slots__
        if isinstance(fact := getattr(substance, name), substances.Fact)
    ]

    assert len(facts) > 10
    assert all(fact.source for fact in facts)


def test_nobody_can_change_a_fact_at_run_time():
    with pytest.raises(AttributeError):
        BLUE_CRYSTALS.cas = None
    with pytest.raises(TypeError):
        SUBSTANCES["water"] = BLUE_CRYSTALS
