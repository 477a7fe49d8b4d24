"""Metals other than copper in a copper bath: which are meant by a name, and what happens to them."""

import pytest

from chemistry.copper.displacement import COPPER_V, METALS, metal_of_material, metal_of_piece

FARADAY = 96485.33  # C/mol, CODATA 2018

MEANT = [
    ("Zinc plate", "zinc"),
    ("zinc", "zinc"),
    ("Zinc 3", "zinc"),
    ("Plate of zinc, 1 mm", "zinc"),
    ("Galvanised sheet", "zinc"),
    ("Aluminium plate", "aluminium"),
    ("aluminum sheet 0.5", "aluminium"),
    ("Steel sheet", "steel"),
    ("Mild steel offcut", "steel"),
    ("Cathode of iron mesh", "steel"),
    ("Brass plate", "brass"),
    ("Magnesium strip", "magnesium"),
]
NOT_MEANT = [
    "Iron bridge at dusk",
    "The steel mill",
    "Zinc moon over water",
    "Harbour",
    "Copper plate",
    "Stainless steel sheet",
    "Sheet, stainless (1.4301) steel",
    "Zinctown by night",
    "Environment",
    "Ironing",
    "",
]


@pytest.mark.parametrize(("name", "metal"), MEANT)
def test_a_piece_called_by_its_metal_is_known(name, metal):
    assert metal_of_piece(name).id == metal
    assert metal_of_material(name).id == metal


@pytest.mark.parametrize("name", NOT_MEANT)
def test_a_title_is_no_metal(name):
    assert metal_of_piece(name) is None


@pytest.mark.parametrize(
    ("name", "metal"), [("Stainless sheet", None), ("Copper sheet 18 ga", None), ("Zinc, polished", "zinc")]
)
def test_a_material_is_the_metal_it_is_sold_as(name, metal):
    found = metal_of_material(name)

    assert (found.id if found else None) == metal


def test_what_lies_below_copper_is_displaced_without_any_current():
    # CRC Handbook, Gibbs energies of formation of the ions in water in J/mol, as in the open data of chemicals 1.5.2
    formed = {"zinc": (-147100, 2), "aluminium": (-485000, 3), "steel": (-78900, 2), "magnesium": (-454800, 2)}
    table = {id: joules / (charge * FARADAY) for id, (joules, charge) in formed.items()}

    assert pytest.approx(65500 / (2 * FARADAY), abs=0.005) == COPPER_V
    for id, volts in table.items():
        assert METALS[id].volts == pytest.approx(volts, abs=0.005)
        assert METALS[id].is_displaced
        assert "hydrogen" in METALS[id].what
    # an alloy has no potential of its own here
    assert not METALS["brass"].is_displaced


def test_every_metal_says_what_happens_and_how_that_is_known():
    for metal in METALS.values():
        assert metal.what.endswith(".") and metal.source
        assert metal.grade in ("computed", "ours")
