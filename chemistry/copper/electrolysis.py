"""What the current does: copper moved, depth bitten, and what bath and cathode let through."""

from collections.abc import Iterable
from itertools import pairwise

from chemistry.measured import digits
from chemistry.ranges import check_range
from chemistry.solution.sulfate import COPPER_G_PER_MOL
from chemistry.working import formula

FARADAY_C_PER_MOL = 96485.33212  # CODATA 2018
ELECTRONS_PER_COPPER_ION = 2  # copper leaves the anode as Cu2+
COPPER_G_PER_CM3 = 8.96  # CRC Handbook of Chemistry and Physics, 102nd ed., 2021

# An anode gives up to 6 % more than Faraday's law: some copper leaves as Cu+, some to the air dissolved in the bath.
HIGHEST_EFFICIENCY = 1.2
MOST_CHARGE_AH = 100_000.0
MOST_CURRENT_A = 1000.0
LARGEST_CM2 = 100_000.0

# Still bath, vertical cathode 20 cm tall; Wilke, Tobias and Eisenberg's form for free convection, from memory
CATHODE_LIMITS = ((0.0, 0.0), (50.0, 1.6), (100.0, 3.4), (150.0, 5.5), (200.0, 7.6), (250.0, 9.7))
STRONGEST_G_PER_L = 400.0  # beyond any bath: one saturated at 30 °C holds 368
ADVISED_SHARE_OF_LIMIT = 1 / 3  # the deposit turns powdery well before the limit; common practice, no source


@formula(
    "Faraday's law: m = η Q M / (z F)",
    unit="g",
    inputs={
        "charge_ah": ("Q, charge that passed.", "A·h"),
        "efficiency": (
            "η, copper moved over copper expected; 1.00 to 1.06 at an anode, 0.95 to 1.00 at a cathode.",
            "-",
        ),
    },
    source="Faraday's law; F from CODATA 2018, M from IUPAC standard atomic weights 2021.",
)
def copper_moved_g(*, charge_ah: float, efficiency: float = 1.0) -> float:
    """
    Return the mass of copper moved by a charge. [g]

    >>> round(copper_moved_g(charge_ah=1), 3)
    1.185
    """
    check_range("charge", charge_ah, 0.0, MOST_CHARGE_AH, "A·h")
    check_range("efficiency", efficiency, 0.0, HIGHEST_EFFICIENCY)
    moles = efficiency * charge_ah * 3600 / (ELECTRONS_PER_COPPER_ION * FARADAY_C_PER_MOL)
    return moles * COPPER_G_PER_MOL


@formula(
    "d = m / (ρ A), with m after Faraday's law. Lines bite deeper than wide areas; undercutting is neglected.",
    unit="µm",
    inputs={
        "charge_ah": ("Q, charge that passed.", "A·h"),
        "exposed_cm2": ("A, copper drawn bare and left unprotected, not the size of the plate.", "cm²"),
        "efficiency": ("η, copper moved over copper expected; 1.00 to 1.06 at an anode.", "-"),
    },
    source="Faraday's law; density of copper 8.96 g/cm³, CRC Handbook of Chemistry and Physics, 102nd ed., 2021.",
)
def bite_depth_um(*, charge_ah: float, exposed_cm2: float, efficiency: float = 1.0) -> float:
    """
    Return how deep a charge bites, if it bites evenly. [µm]

    >>> round(bite_depth_um(charge_ah=2.25, exposed_cm2=150), 2)
    19.85
    """
    check_range("exposed area", exposed_cm2, 0.01, LARGEST_CM2, "cm²")
    volume_cm3 = copper_moved_g(charge_ah=charge_ah, efficiency=efficiency) / COPPER_G_PER_CM3
    return volume_cm3 / exposed_cm2 * 1e4


@formula(
    "Trapezoids: Q = Σ (t₂ - t₁) (I₁ + I₂) / 2. Two readings at one minute are a sudden change of the current.",
    unit="A·h",
    inputs={"readings": ("(minutes, amps) in the order taken.", "min, A")},
    source="trapezoidal rule.",
)
def charge_ah(readings: Iterable[tuple[float, float]]) -> float:
    """
    Return the charge that passed between the first reading of the ammeter and the last. [A·h]

    >>> charge_ah([(0, 2.0), (30, 1.0), (90, 1.0)])
    1.75
    """
    amp_minutes = 0.0
    for (earlier, before), (later, after) in pairwise(_checked(readings)):
        if later < earlier:
            raise ValueError(
                f"readings must follow each other in time, not {digits(later)} min after {digits(earlier)} min"
            )
        amp_minutes += (later - earlier) * (before + after) / 2
    return amp_minutes / 60


def _checked(readings: Iterable[tuple[float, float]]) -> Iterable[tuple[float, float]]:
    for minutes, amps in readings:
        check_range("minutes", minutes, 0.0, 1e6, "min")
        check_range("current", amps, 0.0, MOST_CURRENT_A, "A")
        yield minutes, amps


@formula(
    "i = I / A",
    unit="A/dm²",
    inputs={
        "current_a": ("I, current as read while running.", "A"),
        "area_cm2": ("A, area the current passes through.", "cm²"),
    },
    source="definition.",
)
def current_density_a_per_dm2(*, current_a: float, area_cm2: float) -> float:
    """
    Return the current over each square decimetre of a plate's exposed area or a cathode's facing area. [A/dm²]

    >>> current_density_a_per_dm2(current_a=1.5, area_cm2=150)
    1.0
    """
    check_range("current", current_a, 0.0, MOST_CURRENT_A, "A")
    check_range("area", area_cm2, 0.01, LARGEST_CM2, "cm²")
    return current_a / (area_cm2 / 100)


@formula(
    "R = gap / (κ A), for equal sheets that face each other. Voltage over R is the most current to expect: narrow"
    " lines crowd it and each electrode takes a voltage of its own, both neglected.",
    unit="Ω",
    inputs={
        "conductivity_ms_per_cm": ("κ, of the bath at its strength and temperature.", "mS/cm"),
        "gap_cm": ("gap, from plate to cathode.", "cm"),
        "area_cm2": ("A, area that faces the cathode and is bare.", "cm²"),
    },
    spread="±10 %, as the conductivity.",
    source="Ohm's law.",
)
def cell_resistance_ohm(*, conductivity_ms_per_cm: float, gap_cm: float, area_cm2: float) -> float:
    """
    Return the resistance of the bath between plate and cathode. [Ω]

    >>> round(cell_resistance_ohm(conductivity_ms_per_cm=25.7, gap_cm=3, area_cm2=300), 3)
    0.389
    """
    check_range("conductivity", conductivity_ms_per_cm, 0.1, 1000.0, "mS/cm")
    check_range("gap", gap_cm, 0.0, 200.0, "cm")
    check_range("area", area_cm2, 0.01, LARGEST_CM2, "cm²")
    return gap_cm / (conductivity_ms_per_cm / 1000 * area_cm2)


@formula(
    "Straight lines between 1.6, 3.4, 5.5, 7.6 and 9.7 A/dm² at 50, 100, 150, 200 and 250 g/L; down to nought at "
    "nought, and held at 9.7 above 250 g/L. For a vertical cathode 20 cm tall; the deposit is powdery near the "
    "limit and hydrogen forms above it.",
    unit="A/dm²",
    inputs={"strength_g_per_l": ("c, blue crystals in a litre of the bath at 20 °C, to 400.", "g/L")},
    spread="±40 %.",
    source="form of Wilke, Tobias and Eisenberg for free convection, from memory.",
)
def cathode_limit_a_per_dm2(strength_g_per_l: float) -> float:
    """
    Return the current density at which a still bath can bring the cathode no more copper. [A/dm²]

    >>> round(cathode_limit_a_per_dm2(125), 2)
    4.45
    """
    check_range("strength", strength_g_per_l, 0.0, STRONGEST_G_PER_L, "g/L")
    for (weaker, low), (stronger, high) in pairwise(CATHODE_LIMITS):
        if strength_g_per_l <= stronger:
            return low + (high - low) * (strength_g_per_l - weaker) / (stronger - weaker)
    return CATHODE_LIMITS[-1][1]
