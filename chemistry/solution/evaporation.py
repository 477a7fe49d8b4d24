"""Water lost from an open bath to the air of the room; the salt stays behind."""

from math import exp

from chemistry.ranges import check_range
from chemistry.solution.sulfate import ANHYDROUS_G_PER_MOL, mass_fraction_from_strength
from chemistry.working import formula

STRONGEST_G_PER_L = 400.0  # beyond any bath: one saturated at 30 °C holds 368


@formula(
    "Buck: p = 0.61121 exp((18.678 - t / 234.5) t / (257.14 + t))",
    unit="kPa",
    inputs={"temperature_c": ("t, temperature of the water, -20 to 60 °C.", "°C")},
    spread="within 0.1 % of steam tables from 0 to 60 °C.",
    source="Buck, J. Appl. Meteorol. 20 (1981) 1527, coefficients revised 1996.",
)
def saturation_pressure_kpa(temperature_c: float) -> float:
    """
    Return the pressure of water vapour over pure water at rest. [kPa]

    >>> round(saturation_pressure_kpa(20), 3)
    2.338
    """
    check_range("temperature", temperature_c, -20.0, 60.0, "°C")
    return 0.61121 * exp((18.678 - temperature_c / 234.5) * temperature_c / (257.14 + temperature_c))


@formula(
    "a = 1 - 0.017 m, with m in moles of CuSO4 per kilogram of water; own fit at 25 °C, to a saturated bath.",
    unit="-",
    inputs={"strength_g_per_l": ("c, blue crystals in a litre of the bath at 20 °C, to 400.", "g/L")},
    spread="±0.0006.",
    source="own fit to the equations of Pitzer and Mayorga, J. Solution Chem. 3 (1974) 539.",
)
def water_activity(strength_g_per_l: float) -> float:
    """
    Return how much less readily water leaves a bath than pure water, as a ratio of vapour pressures. [-]

    >>> round(water_activity(150), 3)
    0.99
    """
    check_range("strength", strength_g_per_l, 0.0, STRONGEST_G_PER_L, "g/L")
    w = mass_fraction_from_strength(strength_g_per_l, 20)
    return 1 - 0.017 * 1000 * w / (1 - w) / ANHYDROUS_G_PER_MOL


@formula(
    "E = 86400 F A (a p(t_water) - RH p(t_air)) (0.089 + 0.0782 v) / (2500.9 - 2.3665 t_water), with p in kPa. "
    "Where the air is moist enough to settle on the bath the loss is nought: what condenses is neglected.",
    unit="g/day",
    inputs={
        "area_cm2": ("A, surface open to the air.", "cm²"),
        "water_c": ("t_water, temperature of the bath.", "°C"),
        "air_c": ("t_air, temperature of the room.", "°C"),
        "relative_humidity": ("RH, of the room, 0 to 1.", "-"),
        "water_activity": ("a, of the bath, 1 for pure water.", "-"),
        "activity_factor": (
            "F, how much the water is stirred up, 0.5 for a tray left alone, 1 for a public pool.",
            "-",
        ),
        "air_speed_m_per_s": ("v, over the surface.", "m/s"),
    },
    spread="within a factor of two; learn a bath's own rate from its level.",
    source=(
        "pool equation of the ASHRAE Handbook, HVAC Applications, from memory; latent heat linear in temperature; "
        "vapour pressures after Buck 1981."
    ),
)
def water_lost_g_per_day(
    *,
    area_cm2: float,
    water_c: float,
    air_c: float,
    relative_humidity: float,
    water_activity: float = 1.0,
    activity_factor: float = 0.5,
    air_speed_m_per_s: float = 0.0,
) -> float:
    """
    Return the water an open bath loses. [g/day]

    >>> round(water_lost_g_per_day(area_cm2=600, water_c=20, air_c=20, relative_humidity=0.5))
    110
    """
    check_range("surface", area_cm2, 0.0, 1e6, "cm²")
    check_range("water temperature", water_c, -20.0, 60.0, "°C")
    check_range("air temperature", air_c, -20.0, 60.0, "°C")
    check_range("relative humidity", relative_humidity, 0.0, 1.0)
    check_range("water activity", water_activity, 0.0, 1.0)
    check_range("activity factor", activity_factor, 0.0, 2.0)
    check_range("air speed", air_speed_m_per_s, 0.0, 5.0, "m/s")
    pull_kpa = water_activity * saturation_pressure_kpa(water_c) - relative_humidity * saturation_pressure_kpa(air_c)
    latent_heat_kj_per_kg = 2500.9 - 2.3665 * water_c
    # kPa over kJ/kg: the two thousands cancel
    kg_per_m2_s = activity_factor * max(pull_kpa, 0.0) * (0.089 + 0.0782 * air_speed_m_per_s) / latent_heat_kj_per_kg
    return 86400 * kg_per_m2_s * 1000 * area_cm2 / 1e4
