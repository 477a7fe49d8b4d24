"""What to take out of a bath and what to add to bring it to a strength and a volume."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from chemistry.bath.events import MOST_LITRES, STANDARD_C
from chemistry.bath.figures import DENSITY_SOURCE, settle
from chemistry.bath.state import BathState
from chemistry.quantity import quantity
from chemistry.ranges import OutOfRange, check_range
from chemistry.sentences import Sentence
from chemistry.solution import sulfate, sulfuric, water_and_salt
from chemistry.solution.strengths import strength
from chemistry.working import Input, Working

TRACE_L, TRACE_G = 1e-4, 0.01  # less than any workshop measures
A_HAIR_LESS = 1 - 1e-9  # or rounding could carry the advice a hair past what is allowed
NOTED_ACID_SHARE = 0.05  # a change of the acid worth a sentence: own choice
CRYSTAL_G_PER_L = 1000 * sulfate.BLUE_CRYSTALS_G_PER_ML
EUTECTIC_MASS_FRACTION = 0.121  # sulfate.crystals_below_c
HOLDS_ONLY = Sentence(
    "At %(temperature)s a bath holds only %(strength)s; anything stronger drops crystals. "
    "The amounts go no further than that."
)
WITH_ACID_HOLDS_ONLY = Sentence(
    "At %(temperature)s a bath with this acid holds only %(strength)s; anything stronger drops crystals. "
    "The amounts go no further than that."
)
CRYSTALS_ON_THE_FLOOR = Sentence(
    "Crystals lie on the floor: warm and stir until they are gone before taking any bath out."
)
MOST_STEPS = 30  # each of which leaves a small part of the error before it


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """
    What to take out first, then add; strength, volume and acid that gives, at 20 °C.

    working: of the water, the salt and what to take out, in this order.
    """

    water_l: float
    salt_g: float
    remove_l: float
    strength_g_per_l: float
    volume_l: float
    acid_g_per_l: float
    warnings: tuple[str, ...]
    working: tuple[Working, Working, Working]


def top_up(
    state: BathState,
    *,
    target_strength_g_per_l: float,
    target_volume_l: float,
    rim_l: float,
    coldest_c: float,
    temperature_c: float = STANDARD_C,
) -> Advice:
    """
    Return what brings the bath to a strength and a volume: what to take out first [L], then water [L] and crystals [g].

    As little is taken out as will do, and then either water or crystals or neither is left to add beside the other.
    Acid stays as it is, but for what goes with the bath that is taken out.
    A target past the rim, or past what the bath holds dissolved at its coldest, is lowered, and a warning says so.

    target_strength_g_per_l, target_volume_l: at 20 °C.
    rim_l: what the tank holds, at temperature_c and at 20 °C.
    coldest_c: the coldest the room gets.
    temperature_c: of the bath and of the water, now.

    Source: mass balance of water and of salt.

    >>> from chemistry.bath import DryingRate, Mixed, forecast, replay
    >>> dried = forecast(replay([Mixed(day=0, water_l=11, salt_g=3000), DryingRate(day=0, g_per_day=50)])[-1], days=10)
    >>> advice = top_up(dried, target_strength_g_per_l=250, target_volume_l=12, rim_l=13, coldest_c=10)
    >>> round(advice.water_l, 2), round(advice.salt_g), round(advice.remove_l, 2)
    (0.37, 0, 0.0)
    """
    check_range("target_strength_g_per_l", target_strength_g_per_l, 0.0, CRYSTAL_G_PER_L)
    check_range("target_volume_l", target_volume_l, 0.001, MOST_LITRES)
    check_range("rim_l", rim_l, 0.001, MOST_LITRES)
    check_range("coldest_c", coldest_c, -60.0, sulfate.WARMEST_C)
    warnings = []
    strength_g_per_l, volume_l = target_strength_g_per_l, target_volume_l

    saturated_g_per_l = saturated_strength(state.acid_g / volume_l, coldest_c=coldest_c)
    if strength_g_per_l > saturated_g_per_l:
        warnings.append(
            (WITH_ACID_HOLDS_ONLY if state.acid_g else HOLDS_ONLY)
            % {"temperature": quantity(coldest_c, "°C", 3), "strength": strength(saturated_g_per_l)}
        )
        strength_g_per_l = saturated_g_per_l * A_HAIR_LESS
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, STANDARD_C)
    # a bath too strong to freeze is solid below the eutectic
    if coldest_c < sulfate.freezing_point_c(min(w, EUTECTIC_MASS_FRACTION)):
        warnings.append(
            Sentence("At %(temperature)s ice forms in this bath: keep it somewhere warmer.")
            % {"temperature": quantity(coldest_c, "°C", 3)}
        )

    # a warm bath shrinks: filled to the rim while warm it is less than that at 20 °C
    shrinks = sulfate.density_g_per_ml(w, temperature_c) / sulfate.density_g_per_ml(w, STANDARD_C)
    if volume_l > rim_l * min(1.0, shrinks):
        volume_l = rim_l * min(1.0, shrinks) * A_HAIR_LESS
        warnings.append(
            Sentence("The tank holds %(litres)s to the rim. The amounts fill it no further than that.")
            % {"litres": quantity(rim_l, "L", 3)}
        )

    salt_g = volume_l * strength_g_per_l
    # as it is now, because whoever takes some out measures it so
    now_l = state.volume(temperature_c=temperature_c)[0]
    water_g, share = water_and_share(state, volume_l=volume_l, salt_g=salt_g)
    share = share if share * now_l >= TRACE_L else 0.0
    # liquid taken from over crystals is weaker than the bath, so the sum would not come out
    if share and settle(state, temperature_c=temperature_c).crystals_g > TRACE_G:
        warnings.append(CRYSTALS_ON_THE_FLOOR)

    kept_water_g, kept_salt_g, acid_g = ((1 - share) * now for now in (state.water_g, state.salt_g, state.acid_g))
    litre_g = 1000 * sulfate.water_density_g_per_ml(temperature_c)
    water_l = (water_g - kept_water_g) / litre_g
    water_l = water_l if water_l >= TRACE_L else 0.0
    added_g = salt_g - kept_salt_g if salt_g - kept_salt_g >= TRACE_G else 0.0
    end_salt_g = kept_salt_g + added_g
    end_l, *_ = water_and_salt.volume_with_acid(kept_water_g + water_l * litre_g, end_salt_g, acid_g, STANDARD_C)
    if state.acid_g and abs(acid_g / end_l / state.acid_g_per_l - 1) > NOTED_ACID_SHARE:
        warnings.append(
            Sentence("Its acid goes from %(now)s to %(then)s by this.")
            % {
                "now": quantity(state.acid_g_per_l, "g/L", decimals=0),
                "then": quantity(acid_g / end_l, "g/L", decimals=0),
            }
        )
    return Advice(
        water_l=water_l,
        salt_g=added_g,
        remove_l=share * now_l,
        strength_g_per_l=end_salt_g / end_l,
        acid_g_per_l=acid_g / end_l,
        volume_l=end_l,
        warnings=tuple(warnings),
        working=workings(
            state,
            {
                "target volume": (volume_l, "L at 20 °C"),
                "target strength": (strength_g_per_l, "g/L"),
                "free water in a litre": (water_g / volume_l, "g/L"),
                "share kept": (1 - share, "-"),
                "litre of water": (litre_g, "g/L"),
                "volume": (now_l, "L"),
            },
            caution=sulfate.caution(w, STANDARD_C),
        ),
    )


def saturated_strength(acid_g_per_l: float, *, coldest_c: float) -> float:
    """
    Return the strength that a bath with so much acid holds dissolved at its coldest, at 20 °C. [g/L]

    Source: the solubility of `water_and_salt`, and the share of it beside acid of `sulfuric`.

    >>> round(saturated_strength(0, coldest_c=10))
    262
    >>> saturated_strength(50, coldest_c=10) < 262
    True
    """
    # below the eutectic nothing is liquid, and the solubility is fitted no further
    at_c = max(coldest_c, sulfate.COLDEST_C)
    strength_g_per_l = sulfate.strength_g_per_l(water_and_salt.saturated_mass_fraction(at_c), STANDARD_C)
    if acid_g_per_l:
        pure_g_per_g = water_and_salt.saturation_g_per_g(at_c)
        for _ in range(MOST_STEPS):
            water_g_per_l, _ = water_and_salt.water_for(1.0, strength_g_per_l, acid_g_per_l, STANDARD_C)
            strength_g_per_l = water_g_per_l * pure_g_per_g * sulfuric.soluble_share(acid_g_per_l / water_g_per_l)
    return strength_g_per_l


def acid_to_reach(state: BathState, *, acid_g_per_l: float, percent: float) -> float:
    """
    Return how much of an acid brings a bath to so much in a litre, the rest of it left as it is. [g as weighed]

    Nought where it holds as much already.

    acid_g_per_l: H2SO4 wanted in a litre of its clear liquid, at 20 °C.
    percent: H2SO4 in the acid by mass; the rest of it is water.

    Source: mass balance of the acid; the density of `sulfuric`.

    >>> from chemistry.bath import AcidAdded, Mixed, replay
    >>> mixed = replay([Mixed(day=0, water_l=10, salt_g=2000)])[-1]
    >>> round(acid_to_reach(mixed, acid_g_per_l=50, percent=96))
    572
    >>> [sour] = replay([AcidAdded(day=0, grams=571.7, percent=96)], start=mixed)
    >>> round(sour.acid_g_per_l, 1), acid_to_reach(sour, acid_g_per_l=20, percent=96)
    (50.0, 0.0)
    """
    stock_g_per_l = 10 * percent * sulfuric.stock_density_g_per_ml(percent)
    # with an acid that is hardly stronger the bath would end as that acid
    if acid_g_per_l > stock_g_per_l / 2:
        raise OutOfRange("acid in a litre", acid_g_per_l, 0.0, stock_g_per_l / 2, "g/L")
    share, grams = percent / 100, 0.0
    for _ in range(MOST_STEPS):
        reached = replace(state, water_g=state.water_g + (1 - share) * grams, acid_g=state.acid_g + share * grams)
        volume_l, by_water, _, by_acid = reached.running().liquid()
        lifts_l = (1 - share) * by_water + share * by_acid
        grams += (acid_g_per_l * volume_l - reached.acid_g) / (share - acid_g_per_l * lifts_l)
    return max(0.0, grams)


def water_and_share(state: BathState, *, volume_l: float, salt_g: float) -> tuple[float, float]:
    """
    Return the water of the bath that is wanted [g], and the least share of the present one that makes room for it [-].

    With more taken out, both water and salt would have to be bought back.

    >>> from chemistry.bath import Mixed, replay
    >>> water_g, share = water_and_share(replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1], volume_l=11, salt_g=1500)
    >>> round(water_g), round(share, 2)
    (10431, 0.5)
    """
    if not state.acid_g:
        water_g = volume_l * water_and_salt.water_per_litre(salt_g / volume_l, STANDARD_C)[0]
        return water_g, share_in_the_way(state, water_g, salt_g)
    share = 0.0
    # what is taken out takes acid along, which leaves room for water, so that less need be taken out
    for _ in range(MOST_STEPS):
        water_g, _ = water_and_salt.water_for(volume_l, salt_g, state.acid_g * (1 - share), STANDARD_C)
        share = share_in_the_way(state, water_g, salt_g)
    return water_g, share


def share_in_the_way(state: BathState, water_g: float, salt_g: float) -> float:
    """
    Return the share of a bath that is too much beside water and salt that are wanted. [-]

    Source: mass balance of water and of salt.

    >>> from chemistry.bath import Mixed, replay
    >>> round(share_in_the_way(replay([Mixed(day=0, water_l=10, salt_g=3000)])[-1], 12000, 1500), 2)
    0.5
    """
    return max(0.0, 1 - water_g / state.water_g, 1 - salt_g / state.salt_g if state.salt_g else 0.0)


def workings(
    state: BathState, inputs: Mapping[str, tuple[float, str]], *, caution: str | None
) -> tuple[Working, Working, Working]:
    """
    How the water, the salt and what to take out were worked out, from what and by whose density.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> names = ("target volume", "target strength", "free water in a litre", "share kept", "litre of water", "volume")
    >>> [working.formula.split(" = ")[0] for working in workings(bath, dict.fromkeys(names, (1.0, "")), caution="")]
    ['water to add', 'crystals to add', 'take out']
    """
    known = {name: Input(name=name, value=value, unit=unit) for name, (value, unit) in inputs.items()}
    volume, strength, free_water, kept, litre, now = known.values()

    def working(formula: str, *inputs: Input) -> Working:
        source = Sentence("mass balance of water and of salt; %(density)s") % {"density": DENSITY_SOURCE}
        return Working(formula=formula, inputs=inputs, source=source, caution=caution)

    return (
        working(
            "water to add = max(0, target volume × free water in a litre - share kept × water) / litre of water",
            *(volume, free_water, kept, state.water, litre),
        ),
        working(
            "crystals to add = max(0, target volume × target strength - share kept × salt)",
            *(volume, strength, kept, state.salt),
        ),
        working(
            "take out = volume × max(0, 1 - target volume × free water in a litre / water, "
            "1 - target volume × target strength / salt)",
            *(now, volume, free_water, state.water, strength, state.salt),
        ),
    )
