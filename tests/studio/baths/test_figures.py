import pytest

from chemistry.bath import DensityRead, Titrated
from studio.baths import operations
from studio.baths.descriptions import BathDescription
from studio.baths.status import status_of_baths
from studio.pages.quantities import Units
from tests.factories import BathFactory, adopted, day, signed

pytestmark = pytest.mark.django_db


def told(bath, at=1.0, units=None):
    shown = BathDescription(status_of_baths([bath], day(at))[0], units or Units()).figures
    return {each.name: str(each.shown) for each in shown}


def test_an_unread_tank_has_no_figures():
    assert BathDescription(status_of_baths([BathFactory()], day(1))[0], Units()).figures == []


def test_a_covered_bath_tells_strength_volume_copper_and_cold():
    assert told(adopted()) == {
        "Strength": "240 ± 10 g/L",
        "Volume": "12.0 ± 0.2 L",
        "Copper in it": "733 ± 32 g",
        "Crystals fall out below": "5 ± 2 °C",
    }


def test_an_open_bath_tells_what_dries_and_until_when():
    assert {"Drying", "Until it needs water"} <= set(told(adopted(lid_on=False)))


def test_a_cold_night_is_told_in_grams_and_in_what_is_left():
    shown = told(adopted(strength_g_per_l=285, coldest_c=10))

    assert {"Crystals at 10 °C", "Liquid over them"} <= set(shown)


def test_a_baume_studio_is_told_baume_and_the_sum_behind_it():
    shown = told(adopted(), units=Units(strength_unit="°Bé"))

    assert shown["Strength"] == shown["On a Baumé hydrometer"]
    assert shown["Strength"].endswith("°Bé")


def test_a_hydrometer_found_to_read_off_is_told():
    bath = adopted()
    assert "This hydrometer reads too strong by" not in told(bath)

    for at in range(1, 20):
        operations.read(
            bath,
            DensityRead(day=0, sg=1.158, temperature_c=20, reference_c=20),
            words="SG 1.158 at 20 °C",
            by=signed(at),
        )
        operations.read(bath, Titrated(day=0, mol_per_l=0.96, sd=0.003), words="0.96 mol/L", by=signed(at + 0.1))

    assert "This hydrometer reads too strong by" in told(bath, at=21)
