"""What lies on the floor of a bath that has come to rest, and how strong the liquid over it is."""

from dataclasses import dataclass

from chemistry.bath.events import STANDARD_C
from chemistry.bath.state import BathState
from chemistry.solution import water_and_salt
from chemistry.working import Input, Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The bath at rest at some temperature; strength and volume of the liquid at 20 °C."""

    crystals_g: float
    liquid_strength_g_per_l: float
    liquid_volume_l: float
    working: Working


def settle(state: BathState, *, temperature_c: float) -> Settled:
    """
    Return what lies on the floor and how strong the liquid is once the bath has come to rest at a temperature.

    The free water holds what saturates it; the rest of the salt drops as blue crystals, their five waters with them.

    Source: mass balance; sulfate.solubility_mass_fraction.

    >>> from chemistry.bath import Adopted, replay
    >>> bath = replay([Adopted(day=0, volume_l=2.62, strength_g_per_l=286, volume_sd_l=0, strength_sd_g_per_l=0)])[-1]
    >>> settled = settle(bath, temperature_c=10)
    >>> round(settled.crystals_g), round(settled.liquid_strength_g_per_l), round(settled.liquid_volume_l, 2)
    (71, 262, 2.59)
    """
    saturation = water_and_salt.saturation_g_per_g(temperature_c)
    dissolved_g = min(state.salt_g, state.water_g * saturation)
    liquid_l, _, _ = water_and_salt.volume(state.water_g, dissolved_g, STANDARD_C)
    working = Working(
        formula="crystals = max(0, salt - water × saturation)",
        inputs=(
            state.water,
            state.salt,
            Input(name="saturation", value=saturation, unit="g blue crystals per g water"),
        ),
        source="mass balance; solubility fitted to CRC Handbook of Chemistry and Physics, 98th ed., 2017",
    )
    return Settled(
        crystals_g=state.salt_g - dissolved_g,
        liquid_strength_g_per_l=dissolved_g / liquid_l,
        liquid_volume_l=liquid_l,
        working=working,
    )
