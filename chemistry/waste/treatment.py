"""
Stoichiometry of taking copper out of a spent bath: what goes in, what comes down, and the warnings with it.

What stays dissolved is never predicted: it is settled, tested, and judged by the permit. A plan needs the permission of
an authority on record.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import chain
from types import MappingProxyType
from typing import Any

from chemistry import data_files
from chemistry.copper.electrolysis import copper_moved_g
from chemistry.hazards.substances import SUBSTANCES
from chemistry.ranges import check_range
from chemistry.sentences import Sentence
from chemistry.solution.sulfate import COPPER_G_PER_MOL
from chemistry.working import FORMULAS, Figure, formula, work_out

IRON_G_PER_MOL = 55.845  # IUPAC standard atomic weights, 2021
GAS_L_PER_MOL_K = 0.0820573660809596  # R in L·atm/(mol·K): 8.31446261815324 J/(mol·K), CODATA 2018, / 101.325
ZERO_C_IN_K = 273.15
LYE_PER_COPPER = 2.0  # Cu2+ takes two OH-
CO2_PER_COPPER = 0.5  # 2 Cu2+ + 2 CO3 2- give one Cu2(OH)2CO3 and one CO2
MOST_COPPER_G = 100_000.0
MOST_SODA_ASH_RATIO = 1.5  # beyond it copper dissolves again; common practice, no source
# kJ for each mole of copper, 25 °C: ions from Masterton, Slowinski, Stanitski, Chemical Principles, 1983 (Cu2+ 64.4,
# Fe2+ -87.9, Na+ -239.7); solids from the NBS tables of 1982, from memory (NaOH -425.6, Cu(OH)2 -449.8)
IRON_HEAT_KJ_PER_MOL = 64.4 + 87.9
LYE_HEAT_KJ_PER_MOL = 64.4 + 2 * 239.7 + 449.8 - 2 * 425.6
LITRE_KJ_PER_K = (
    4.15  # the 0.99 kg of water in a litre of bath at 250 g/L, 4.18 kJ/(kg·K); the salt's share is neglected
)
MOST_COPPER_G_PER_L = 100.0
EFFICIENCY_OF_PLATING_OUT = 0.6  # falls towards nought as the copper runs out: ours, no source
COPPER_INPUT = {"copper_g": (Sentence("m_Cu, copper in the liquid."), "g")}
STRENGTH_INPUT = {"copper_g_per_l": (Sentence("c, copper in a litre of the liquid."), "g/L")}
ALL_AT_ONCE = Sentence(
    "ΔT = c ΔH / (M(Cu) C), ΔH = %(heat)s kJ/mol, C = %(warm)s kJ/(L·K): "
    "all of it at once and no heat lost, so the most to expect; %(warm)s kJ/K warm a litre."
)


@formula(
    "m = r m_Cu M(Na₂CO₃) / M(Cu)",
    unit="g",
    inputs={
        "copper_g": ("m_Cu, copper in the liquid.", "g"),
        "ratio": ("r, soda ash for each copper, by number; 1 to 1.5.", "-"),
    },
    source="2 CuSO₄ + 2 Na₂CO₃ + H₂O = Cu₂(OH)₂CO₃ + 2 Na₂SO₄ + CO₂; IUPAC standard atomic weights 2021.",
)
def soda_ash_g(*, copper_g: float, ratio: float = 1.0) -> float:
    """
    Return the soda ash (dry sodium carbonate) that brings copper down as basic carbonate. [g]

    >>> round(soda_ash_g(copper_g=254.5))
    424
    """
    check_range("soda ash for each copper", ratio, 1.0, MOST_SODA_ASH_RATIO)
    return ratio * moles_of_copper(copper_g) * g_per_mol("sodium_carbonate")


@formula(
    "m = 2 m_Cu M(NaOH) / M(Cu)",
    unit="g",
    inputs=COPPER_INPUT,
    source="CuSO₄ + 2 NaOH = Cu(OH)₂ + Na₂SO₄; IUPAC standard atomic weights 2021.",
)
def sodium_hydroxide_g(*, copper_g: float) -> float:
    """
    Return the lye (dry sodium hydroxide) that brings copper down as hydroxide. [g]

    >>> round(sodium_hydroxide_g(copper_g=254.5))
    320
    """
    return LYE_PER_COPPER * moles_of_copper(copper_g) * g_per_mol("sodium_hydroxide")


@formula(
    "m = m_Cu M(Fe) / M(Cu). Acid in the liquid dissolves more; that is neglected.",
    unit="g",
    inputs=COPPER_INPUT,
    source="CuSO₄ + Fe = Cu + FeSO₄; IUPAC standard atomic weights 2021.",
)
def iron_g(*, copper_g: float) -> float:
    """
    Return the iron that copper takes the place of. [g]

    >>> round(iron_g(copper_g=1), 3)
    0.879
    """
    return moles_of_copper(copper_g) * IRON_G_PER_MOL


@formula(
    "m = m_Cu M(Cu₂(OH)₂CO₃) / (2 M(Cu)). A real sludge holds sulfate and several times its weight of water.",
    unit="g",
    inputs=COPPER_INPUT,
    source="2 CuSO₄ + 2 Na₂CO₃ + H₂O = Cu₂(OH)₂CO₃ + 2 Na₂SO₄ + CO₂; IUPAC standard atomic weights 2021.",
)
def basic_carbonate_g(*, copper_g: float) -> float:
    """
    Return the basic carbonate that comes down if all of the copper does, dry. [g]

    >>> round(basic_carbonate_g(copper_g=254.5))
    443
    """
    return moles_of_copper(copper_g) * g_per_mol("copper_basic_carbonate") / 2


@formula(
    "m = m_Cu M(Cu(OH)₂) / M(Cu). A real sludge holds sulfate and several times its weight of water.",
    unit="g",
    inputs=COPPER_INPUT,
    source="CuSO₄ + 2 NaOH = Cu(OH)₂ + Na₂SO₄; IUPAC standard atomic weights 2021.",
)
def copper_hydroxide_g(*, copper_g: float) -> float:
    """
    Return the hydroxide that comes down if all of the copper does, dry. [g]

    >>> round(copper_hydroxide_g(copper_g=254.5))
    391
    """
    return moles_of_copper(copper_g) * g_per_mol("copper_hydroxide")


@formula(
    "V = m_Cu / (2 M(Cu)) · R T / p, an ideal gas at 1 atm. What stays dissolved is neglected: it is the most to "
    "expect.",
    unit="L",
    inputs={"copper_g": ("m_Cu, copper in the liquid.", "g"), "temperature_c": ("T, of the liquid.", "°C")},
    source="2 CuSO₄ + 2 Na₂CO₃ + H₂O = Cu₂(OH)₂CO₃ + 2 Na₂SO₄ + CO₂; R from CODATA 2018.",
)
def carbon_dioxide_l(*, copper_g: float, temperature_c: float = 20.0) -> float:
    """
    Return the carbon dioxide that soda ash frees, most of it as foam. [L]

    >>> round(carbon_dioxide_l(copper_g=63.546), 1)
    12.0
    """
    check_range("temperature", temperature_c, 0.0, 60.0, "°C")
    return CO2_PER_COPPER * moles_of_copper(copper_g) * GAS_L_PER_MOL_K * (temperature_c + ZERO_C_IN_K)


@formula(
    "Q = m_Cu z F / (η M)",
    unit="A·h",
    inputs={
        "copper_g": ("m_Cu, copper to be plated out.", "g"),
        "efficiency": ("η, share of the current that moves copper; it falls as the copper runs out.", "-"),
    },
    spread="the efficiency is a guess: weigh the cathode.",
    source="Faraday's law; F from CODATA 2018; an efficiency of 0.6 is ours, no source.",
)
def plating_out_ah(*, copper_g: float, efficiency: float = EFFICIENCY_OF_PLATING_OUT) -> float:
    """
    Return the charge that plates copper out at an anode that does not dissolve. [A·h]

    >>> round(plating_out_ah(copper_g=100, efficiency=1), 1)
    84.4
    """
    check_range("copper", copper_g, 0.0, MOST_COPPER_G, "g")
    check_range("efficiency", efficiency, 0.05, 1.0)
    return copper_g / copper_moved_g(charge_ah=1, efficiency=efficiency)


@formula(
    ALL_AT_ONCE % {"heat": round(IRON_HEAT_KJ_PER_MOL, 1), "warm": LITRE_KJ_PER_K},
    unit="°C",
    inputs=STRENGTH_INPUT,
    source="Cu²⁺ + Fe = Cu + Fe²⁺; heats of formation from Masterton, Slowinski, Stanitski, Chemical Principles, 1983.",
)
def warmed_by_iron_c(*, copper_g_per_l: float) -> float:
    """
    Return by how much fine iron warms the liquid, if all of its copper comes down at once. [°C]

    >>> round(warmed_by_iron_c(copper_g_per_l=63.6))
    37
    """
    return warmed_c(copper_g_per_l, IRON_HEAT_KJ_PER_MOL)


@formula(
    ALL_AT_ONCE % {"heat": round(LYE_HEAT_KJ_PER_MOL, 1), "warm": LITRE_KJ_PER_K},
    unit="°C",
    inputs=STRENGTH_INPUT,
    source="Cu²⁺ + 2 NaOH (solid) = Cu(OH)₂ + 2 Na⁺; heats of formation of the ions from Masterton, Slowinski, "
    "Stanitski, Chemical Principles, 1983, of the solids from the NBS tables of 1982, from memory.",
)
def warmed_by_lye_c(*, copper_g_per_l: float) -> float:
    """
    Return by how much dry lye warms the liquid, if all that its copper takes goes in at once. [°C]

    >>> round(warmed_by_lye_c(copper_g_per_l=63.6))
    34
    """
    return warmed_c(copper_g_per_l, LYE_HEAT_KJ_PER_MOL)


def warmed_c(copper_g_per_l: float, heat_kj_per_mol: float) -> float:
    """
    By how much a heat of reaction warms the litre that it is set free in. [°C]

    Source: ΔT = n ΔH / C, with what warms a litre of bath as named in this file.

    >>> round(warmed_c(63.546, 100.0))
    24
    """
    check_range("copper in a litre", copper_g_per_l, 0.0, MOST_COPPER_G_PER_L, "g/L")
    return copper_g_per_l / COPPER_G_PER_MOL * heat_kj_per_mol / LITRE_KJ_PER_K


@formula(
    "m = m_Cu M(H₂SO₄) / M(Cu), at an anode that does not dissolve.",
    unit="g",
    inputs=COPPER_INPUT,
    source="2 CuSO₄ + 2 H₂O = 2 Cu + O₂ + 2 H₂SO₄; IUPAC standard atomic weights 2021.",
)
def sulfuric_acid_g(*, copper_g: float) -> float:
    """
    Return the sulfuric acid that the liquid holds once its copper is plated out. [g]

    >>> round(sulfuric_acid_g(copper_g=254.5))
    393
    """
    return moles_of_copper(copper_g) * g_per_mol("sulfuric_acid")


@formula(
    "V = m_Cu / M(Cu) · (1 / η − 1) · R T / p at 20 °C and 1 atm: what moves no copper makes hydrogen.",
    unit="L",
    inputs={
        "copper_g": ("m_Cu, copper to be plated out.", "g"),
        "efficiency": ("η, share of the current that moves copper; it falls as the copper runs out.", "-"),
    },
    spread="the efficiency is a guess: weigh the cathode.",
    source="Faraday’s law, two electrons for Cu²⁺ and for H₂; R from CODATA 2018; an efficiency of 0.6 is ours.",
)
def hydrogen_l(*, copper_g: float, efficiency: float = EFFICIENCY_OF_PLATING_OUT) -> float:
    """
    Return the hydrogen that comes off the cathode meanwhile. [L]

    >>> round(hydrogen_l(copper_g=100), 1)
    25.2
    """
    check_range("efficiency", efficiency, 0.05, 1.0)
    return moles_of_copper(copper_g) * (1 / efficiency - 1) * GAS_L_PER_MOL_K * (20.0 + ZERO_C_IN_K)


def g_per_mol(key: str) -> float:
    """
    Molar mass of a substance on record. [g/mol]

    Source: data/substances.toml, which names its own; ValueError where none is on record.

    >>> round(g_per_mol("sodium_carbonate"), 2)
    105.99
    """
    molar_mass = SUBSTANCES[key].molar_mass_g_per_mol
    if molar_mass is None:
        raise ValueError(f"the molar mass of {key} is not on record")
    return molar_mass.value


def moles_of_copper(copper_g: float) -> float:
    """
    Amount of copper in a mass of it. [mol]

    Source: the standard atomic weight of copper, IUPAC 2021.

    >>> moles_of_copper(63.546)
    1.0
    """
    check_range("copper", copper_g, 0.0, MOST_COPPER_G, "g")
    return copper_g / COPPER_G_PER_MOL


@dataclass(frozen=True, slots=True, kw_only=True)
class Warned:
    """Something to be warned of; grade: how it is known. source: what it follows, where it follows anything."""

    id: str
    text: str
    grade: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatmentPlan:
    """
    What goes in and what comes down, each figure with its working. It says nothing of what stays in the water.

    permission: who allowed it, when and for what, as the studio wrote it down.
    """

    method: str
    title: str
    reaction: str
    permission: str
    figures: Mapping[str, Figure]
    warnings: tuple[Warned, ...]


FIGURES: Mapping[str, Mapping[str, Callable[..., float]]] = {
    "soda_ash": {
        Sentence("soda ash"): soda_ash_g,
        Sentence("carbon dioxide"): carbon_dioxide_l,
        Sentence("basic carbonate, dry"): basic_carbonate_g,
    },
    "sodium_hydroxide": {
        Sentence("lye"): sodium_hydroxide_g,
        Sentence("copper hydroxide, dry"): copper_hydroxide_g,
        Sentence("warmer by, if all at once"): warmed_by_lye_c,
    },
    "iron": {
        Sentence("iron"): iron_g,
        Sentence("warmer by, if all at once"): warmed_by_iron_c,
    },
    "plating_out": {
        Sentence("charge"): plating_out_ah,
        Sentence("sulfuric acid left in it"): sulfuric_acid_g,
        Sentence("hydrogen"): hydrogen_l,
    },
}
TABLES = data_files.read("treatment")
METHODS: Mapping[str, str] = MappingProxyType({id: entry["title"] for id, entry in TABLES["methods"].items()})


def warnings(method: str) -> tuple[Warned, ...]:
    """
    What to be warned of; printed whole wherever a figure of the method is.

    >>> warnings("iron")[0].grade
    'ours'
    """
    return tuple(Warned(id=id, **TABLES["warnings"][id]) for id in described_method(method)["warnings"])


def plan(
    method: str, *, copper_g: float, permission: str, copper_g_per_l: float | None = None, **given: float
) -> TreatmentPlan:
    """
    Work out a treatment that somebody has permitted.

    method: a key of METHODS. permission: who allowed it, when and for what; without it there is no plan.
    copper_g_per_l: without it, how warm the liquid gets is left out. given: ratio, temperature_c, efficiency, where a
    figure of the method takes them.

    >>> found = plan("soda_ash", copper_g=63.546, permission="city waste office, by letter, 12 January 2026", ratio=1.2)
    >>> [f"{name}: {figure.value:.0f} {figure.unit}" for name, figure in found.figures.items()]
    ['soda ash: 127 g', 'carbon dioxide: 12 L', 'basic carbonate, dry: 111 g']
    """
    described = described_method(method)
    # who may treat waste is for the authority to say; no sum of ours may look like leave
    if not permission.strip():
        raise ValueError("say who permitted this treatment, when and for what")
    takes = {function: FORMULAS[function].inputs.keys() for function in FIGURES[method].values()}
    if stray := given.keys() - set(chain.from_iterable(takes.values())):
        raise ValueError(f"{METHODS[method]} takes no {', '.join(sorted(stray))}")
    told = given | {"copper_g": copper_g} | ({} if copper_g_per_l is None else {"copper_g_per_l": copper_g_per_l})
    return TreatmentPlan(
        method=method,
        title=described["title"],
        reaction=described["what"],
        permission=permission,
        figures=MappingProxyType(
            {
                name: work_out(function, **{key: told[key] for key in takes[function] if key in told})
                for name, function in FIGURES[method].items()
                if not STRENGTH_INPUT.keys() & takes[function] - told.keys()
            }
        ),
        warnings=warnings(method),
    )


def described_method(id: str) -> dict[str, Any]:
    """
    What is known of a treatment besides its sums; ValueError for one that is not known.

    >>> described_method(next(iter(METHODS)))["title"] in METHODS.values()
    True
    """
    if id not in METHODS:
        raise ValueError(f"a treatment must be one of {', '.join(METHODS)}, not {id!r}")
    entry: dict[str, Any] = TABLES["methods"][id]
    return entry
