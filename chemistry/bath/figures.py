"""
What a page or a paper says of a bath beside its strength and volume, each figure with its working.

Water, salt, the drying factor and the hydrometer's offset come from the replay of the log and stand among the inputs;
everything else follows from them by the formula shown. The spread of the four is carried through the formula's slopes.
"""

from dataclasses import dataclass, replace
from math import hypot, sqrt

from chemistry.bath.events import STANDARD_C, DryingRate, Mixed, dissolved_g
from chemistry.bath.replaying import days_until, replay, water_per_litre
from chemistry.bath.state import BathState
from chemistry.measured import HALF_WIDTH_SDS
from chemistry.sentences import PLUS, Sentence, strung
from chemistry.solution import sulfate, sulfuric, water_and_salt
from chemistry.solution.strengths import SIXTY_F_IN_C
from chemistry.working import Figure, Input, Working

DENSITY_SOURCE = Sentence("density after Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141")
MASS_BALANCE = Sentence("mass balance of water and of salt")
SOLUBILITY_SOURCE = Sentence("solubility fitted to CRC Handbook of Chemistry and Physics, 98th ed., 2017")
ACID_SOLUBILITY_SD_SHARE = 0.05  # of what is dissolved beside acid; sulfuric.soluble_share


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The bath at rest at some temperature; strength and volume of the liquid at 20 °C."""

    crystals_g: float
    liquid_strength_g_per_l: float
    liquid_volume_l: float
    working: Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """
    Days until something comes about, and the earliest and latest of its 95 % interval.

    latest is None where it may never come about.
    """

    days: float
    earliest: float
    latest: float | None
    working: Working


def strength(state: BathState) -> Figure:
    """
    Return the strength: blue crystals in a litre of bath at 20 °C. [g/L]
    Source: density after Laliberté and Cooper 2004.

    >>> figure = strength(_example())
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} {figure.unit}; {figure.working.formula}")
    247 ± 10 g/L; strength = salt / (water + salt) × density × 1000
    """
    formula = Sentence("strength = salt / (%(sum)s) × density × 1000") % {"sum": together(state)}
    working = replace(volume(state).working, formula=formula)
    return Figure(value=state.strength_g_per_l, unit="g/L", working=working, sd=state.strength_sd_g_per_l)


def volume(state: BathState) -> Figure:
    """
    Return the volume at 20 °C. [L]
    Source: density after Laliberté and Cooper 2004.

    >>> print(f"{volume(_example()).value:.2f} L")
    12.13 L
    """
    density = state.mass_g / state.volume_l / 1000
    working = Working(
        formula=Sentence("volume = (%(sum)s) / density / 1000") % {"sum": together(state)},
        inputs=(*state.masses, Input(name="density", value=density, unit="g/mL at 20 °C")),
        source=DENSITY_SOURCE,
        caution=caution(state, state.mass_fraction),
    )
    return Figure(value=state.volume_l, unit="L", working=working, sd=state.volume_sd_l)


def together(state: BathState) -> str:
    """
    The masses of a bath as its formulas add them up.

    >>> together(_example())
    'water + salt'
    """
    return strung((mass.name for mass in state.masses), PLUS)


def caution(state: BathState, mass_fraction: float, temperature_c: float = STANDARD_C) -> str | None:
    """
    Say what to print beside a density or a strength of this bath, or of it with another mass fraction [-].
    Source: as of sulfate.caution and sulfuric.caution.

    >>> caution(_example(), 0.13)
    """
    return sulfate.caution(mass_fraction, temperature_c) or sulfuric.caution(state.acid_g_per_l)


def acid(state: BathState) -> Figure:
    """
    Return the free sulfuric acid in a litre of the clear liquid. [g/L]
    Source: mass balance of the log; readings of the acid itself.

    >>> from chemistry.bath import AcidAdded
    >>> print(f"{acid(replay([AcidAdded(day=0, grams=330, percent=96)], start=_example())[-1]).value:.0f} g/L")
    26 g/L
    """
    working = Working(
        formula="acid in a litre = acid / liquid",
        inputs=(
            Input(name="acid", value=state.acid_g, unit="g H2SO4", sd=state.sd_of(0.0, 0.0, 1.0)),
            Input(name="liquid", value=state.liquid_l, unit="L at 20 °C, over what lies on the floor"),
        ),
        source=MASS_BALANCE,
    )
    return Figure(value=state.acid_g_per_l, unit="g/L of acid", working=working, sd=state.acid_sd_g_per_l)


def copper(state: BathState) -> Figure:
    """
    Return the copper in the bath, dissolved or on its floor. [g]
    Source: IUPAC standard atomic weights, 2021.

    >>> round(copper(_example()).value)
    764
    """
    share = sulfate.COPPER_PER_BLUE
    working = Working(
        formula="copper = salt × copper per gram",
        inputs=(state.salt, Input(name="copper per gram", value=share, unit="g Cu in 1 g of blue crystals")),
        source="IUPAC standard atomic weights, 2021",
    )
    return Figure(value=state.salt_g * share, unit="g", working=working, sd=state.sd_of(0.0, share))


def may_drop_crystals(state: BathState, coldest_c: float) -> bool:
    """
    Tell whether a temperature [°C] lies below the one at which crystals fall out, or inside its 95 % interval.
    Source: solubility fitted to CRC Handbook, 2017; spread of the replay.

    >>> may_drop_crystals(_example(), 5), may_drop_crystals(_example(), 30)
    (True, False)
    """
    below_c = crystals_below(state)
    return below_c is not None and coldest_c < below_c.value + (below_c.half_width or 0.0)


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
    saturation = saturation_of(state, temperature_c)
    # what a gram of water holds at rest; a bath that just cooled may hold more for hours
    held_g = dissolved_g(state.water_g, state.salt_g, state.acid_g, temperature_c)
    liquid_l = state.volume(held_g)[0]
    working = Working(
        formula="crystals = max(0, salt - water × saturation)",
        inputs=(
            state.water,
            state.salt,
            Input(name="saturation", value=saturation, unit="g blue crystals per g water"),
        ),
        source=Sentence("mass balance; %(solubility)s") % {"solubility": solubility_source(state)},
    )
    return Settled(
        crystals_g=state.salt_g - held_g,
        liquid_strength_g_per_l=held_g / liquid_l,
        liquid_volume_l=liquid_l,
        working=working,
    )


def saturation_of(state: BathState, temperature_c: float) -> float:
    """
    Return the blue crystals that one gram of this bath's free water holds. [g/g]
    Source: solubility fitted to CRC Handbook, 2017; less of it beside acid, sulfuric.soluble_share.

    >>> round(saturation_of(_example(), 20), 3)
    0.354
    """
    pure = water_and_salt.saturation_g_per_g(temperature_c)
    return pure * sulfuric.soluble_share(state.acid_g / state.water_g) if state.acid_g else pure


def solubility_source(state: BathState) -> str:
    """
    Whence the solubility in this bath is known.

    >>> solubility_source(_example()) == SOLUBILITY_SOURCE
    True
    """
    beside_acid = Sentence("%(solubility)s; beside acid less, by two points of Foote 1915, from memory")
    return beside_acid % {"solubility": SOLUBILITY_SOURCE} if state.acid_g else SOLUBILITY_SOURCE


def crystals_at(state: BathState, temperature_c: float) -> Figure:
    """
    Return what lies on the floor once the bath has come to rest at a temperature. [g]
    Source: mass balance; solubility fitted to CRC Handbook, 2017.

    >>> print(f"{crystals_at(_example(), 5).value:.0f} g")
    97 g
    """
    settled = settle(state, temperature_c=temperature_c)
    saturation = saturation_of(state, temperature_c)
    of_acid = ACID_SOLUBILITY_SD_SHARE * state.water_g * saturation if state.acid_g and settled.crystals_g else 0.0
    sd = hypot(state.sd_of(-saturation, 1.0), of_acid)
    return Figure(value=settled.crystals_g, unit="g", working=settled.working, sd=sd)


def liquid_strength_at(state: BathState, temperature_c: float) -> Figure:
    """
    Return how strong the liquid is over the crystals that fall out at a temperature. [g/L at 20 °C]
    Source: mass balance; solubility fitted to CRC Handbook, 2017.

    >>> round(liquid_strength_at(_example(), 5).value)
    240
    """
    settled = settle(state, temperature_c=temperature_c)
    dissolved = settled.liquid_strength_g_per_l * settled.liquid_volume_l
    in_it = Input(name=Sentence("dissolved"), value=dissolved, unit="g of blue crystals")
    parts = strung((in_it.name if mass == state.salt else mass.name for mass in state.masses), PLUS)
    working = Working(
        formula=Sentence("liquid strength = dissolved / (%(sum)s) × density × 1000") % {"sum": parts},
        inputs=(
            in_it,
            *(mass for mass in state.masses if mass != state.salt),
            Input(
                name="density",
                value=(state.water_g + dissolved + state.acid_g) / settled.liquid_volume_l / 1000,
                unit="g/mL at 20 °C",
            ),
        ),
        source=Sentence("%(density)s; %(solubility)s")
        % {"density": DENSITY_SOURCE, "solubility": solubility_source(state)},
        caution=caution(state, water_and_salt.mass_fraction(state.water_g, dissolved)),
    )
    return Figure(value=settled.liquid_strength_g_per_l, unit="g/L", working=working)


def crystals_below(state: BathState) -> Figure | None:
    """
    Return the temperature below which the bath drops crystals; None where ice comes first. [°C]
    Source: solubility fitted to CRC Handbook, 2017.

    Stronger than the strongest solution the density formula knows, it is the temperature of that solution.

    >>> round(crystals_below(_example()).value, 1)
    6.7
    """
    # as strong as a bath without acid that drops crystals when this one does
    salt_g = state.salt_g / sulfuric.soluble_share(state.acid_g / state.water_g)
    w = min(water_and_salt.mass_fraction(state.water_g, salt_g), sulfate.HIGHEST_MASS_FRACTION)
    below_c = sulfate.crystals_below_c(w)
    if below_c is None:
        return None
    working = Working(
        formula=(
            "temperature = (sqrt(0.18643 × 0.18643 - 4 × 0.0014675 × (12.396 - 100 × mass fraction)) - 0.18643) "
            "/ (2 × 0.0014675)"
        ),
        inputs=(Input(name="mass fraction", value=w, unit="CuSO4 by mass"),),
        source=solubility_source(state),
    )
    # of the inverse of the solubility, by which the spread of the strength becomes one in degrees
    slope = 100 / (0.18643 + 2 * 0.0014675 * below_c)
    of_acid = ACID_SOLUBILITY_SD_SHARE * w if state.acid_g else 0.0
    sd = slope * hypot(water_and_salt.ANHYDROUS * state.mass_share_sd, of_acid)
    return Figure(value=below_c, unit="°C", working=working, sd=sd)


def drying(state: BathState) -> Figure:
    """
    Return the water the bath loses now, as far as learned from its levels. [g/day]
    Source: pool equation of the ASHRAE Handbook, from memory, times what the levels told.

    >>> figure = drying(_example())
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} {figure.unit}")
    40 ± 47 g/day
    """
    working = Working(
        formula="drying = expected × learned factor",
        inputs=(
            Input(name="expected", value=state.prior_g_per_day, unit="g/day in an average room"),
            Input(name="learned factor", value=state.drying_factor, unit="", sd=state.drying_factor_sd),
        ),
        source="pool equation of the ASHRAE Handbook, HVAC Applications, from memory; factor learned from levels",
    )
    return Figure(value=state.drying_g_per_day, unit="g/day", working=working, sd=state.drying_sd_g_per_day)


def baume(state: BathState) -> Figure:
    """
    Return what a US Baumé hydrometer that reads true shows in the bath, both at 60 °F. [°Bé]
    Source: NBS Circular 19, from memory; density after Laliberté and Cooper 2004.

    >>> round(baume(_example()).value, 1)
    19.5
    """
    masses = (state.water_g, state.salt_g, state.acid_g)
    sg, *slopes = water_and_salt.specific_gravity_with_acid(*masses, SIXTY_F_IN_C, SIXTY_F_IN_C)
    working = Working(
        formula="degrees = 145 - 145 / specific gravity",
        inputs=(Input(name="specific gravity", value=sg, unit="at 60/60 °F"),),
        source=Sentence("US National Bureau of Standards Circular 19, from memory; %(density)s")
        % {"density": DENSITY_SOURCE},
        caution=caution(state, state.mass_fraction, SIXTY_F_IN_C),
    )
    sd = sulfate.BAUME_MODULUS / sg**2 * state.sd_of(*slopes)
    return Figure(value=sulfate.baume_from_sg(sg), unit="°Bé", working=working, sd=sd)


def hydrometer_error(state: BathState) -> Figure:
    """
    Return by how much this studio's hydrometer reads the bath too strong; below nought, too weak. [g/L]
    Source: learned from this hydrometer's readings against everything else in the log.

    >>> round(hydrometer_error(_example()).value, 1)
    0.0
    """
    w = min(state.mass_fraction, sulfate.HIGHEST_MASS_FRACTION)
    density, slope = sulfate.density_and_slope(w, STANDARD_C)
    per_gram = slope / (density + w * slope) / (1000 * sulfate.BLUE_PER_ANHYDROUS)
    per_gram /= sulfate.water_density_g_per_ml(STANDARD_C)
    offset_sd = sqrt(max(0.0, state.variances[12]))
    working = Working(
        formula="reads too strong by = offset / rise",
        inputs=(
            Input(name="offset", value=state.hydrometer_offset, unit="SG", sd=offset_sd),
            Input(name="rise", value=per_gram, unit="SG for each g/L"),
        ),
        source="learned from this hydrometer's readings against everything else in the log",
    )
    return Figure(value=state.hydrometer_offset / per_gram, unit="g/L", working=working, sd=offset_sd / per_gram)


def strength_filled_to(state: BathState, volume_l: float) -> Figure:
    """
    Return the strength once water alone has brought the bath to a volume. [g/L]
    Source: mass balance of the salt.

    >>> round(strength_filled_to(_example(), 12.5).value)
    240
    """
    working = Working(
        formula="strength = salt / volume",
        inputs=(state.salt, Input(name="volume", value=volume_l, unit="L at 20 °C")),
        source=MASS_BALANCE,
    )
    return Figure(value=state.salt_g / volume_l, unit="g/L", working=working, sd=state.sd_of(0.0, 1 / volume_l))


def span_until(state: BathState, *, strength_g_per_l: float) -> Span | None:
    """
    Return when drying has brought the bath to a strength, None if it does not dry. [days]
    Source: mass balance; density after Laliberté and Cooper 2004.

    A level is a strength too: with the salt unchanged, V litres are salt / V. The interval takes the slowest and the
    fastest drying and the most and the least water left to dry, so it is a little too wide.

    >>> span = span_until(_example(), strength_g_per_l=260)
    >>> round(span.days), span.latest
    (15, None)
    """
    days = days_until(state, strength_g_per_l=strength_g_per_l)
    if days is None or state.drying_g_per_day <= 0:
        return None
    water_g_per_l = water_per_litre(state, strength_g_per_l)
    to_dry_g = state.water_g - state.salt_g / strength_g_per_l * water_g_per_l
    spread_g = HALF_WIDTH_SDS * state.sd_of(1.0, -water_g_per_l / strength_g_per_l)
    rate, spread = state.drying_g_per_day, HALF_WIDTH_SDS * state.drying_sd_g_per_day
    working = Working(
        formula="days = max(0, water - salt / strength × water per litre) / drying",
        inputs=(
            state.water,
            state.salt,
            Input(name="strength", value=strength_g_per_l, unit="g/L"),
            Input(name="water per litre", value=water_g_per_l, unit="g in a litre of that strength"),
            Input(name="drying", value=rate, unit="g/day", sd=state.drying_sd_g_per_day),
        ),
        source=Sentence("mass balance of water and of salt; %(density)s") % {"density": DENSITY_SOURCE},
        caution=sulfate.caution(sulfate.mass_fraction_from_strength(strength_g_per_l, STANDARD_C), STANDARD_C),
    )
    return Span(
        days=days,
        earliest=max(0.0, to_dry_g - spread_g) / (rate + spread),
        latest=max(0.0, to_dry_g + spread_g) / (rate - spread) if rate > spread else None,
        working=working,
    )


def _example() -> BathState:
    """The bath of this module's doctests: 3 kg of crystals in 11 L of water, its lid off."""
    return replay([Mixed(day=0, water_l=11, salt_g=3000), DryingRate(day=0, g_per_day=40)])[-1]
