"""
The bath's log replayed into an estimate of its strength and volume; what it will be, what lies on its floor, and
what to add.

Four figures are carried from event to event: the free water, the salt, how much faster or slower this room dries a
tank than an average one, and how far this studio's hydrometer reads off. Salt is counted as blue crystals
(CuSO4·5H2O), which bring their own five waters; free water is all the other water.

Strength is grams of blue crystals per litre of bath at 20 °C, as if every crystal were dissolved; `settle` says what
lies on the floor when the bath is cold. `_sd` is one standard deviation.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, sqrt

from chemistry.bath.events import (
    MOST_LITRES,
    STANDARD_C,
    STRONGEST_G_PER_L,
    Event,
    Reading,
    RunningBath,
)
from chemistry.bath.kalman_filter import Covariance
from chemistry.ranges import check_range
from chemistry.solution import sulfate, water_and_salt
from chemistry.working import Figure, Input, Working

MODEL_VERSION = 1  # raise it whenever a replay would give other figures: kept states are then replayed anew
FAR_OFF_SD = 3.0  # a reading further than this from the book is held out until somebody decides

FACTOR_SD = 0.6  # rooms dry a tank at half to double the prior; own simulation, tests/chemistry/simulation.py
TRACE_L, TRACE_G = 1e-4, 0.01  # less than any workshop measures
A_HAIR_LESS = 1 - 1e-9  # or rounding could carry the advice a hair past what is allowed
CRYSTAL_G_PER_L = 1000 * sulfate.BLUE_CRYSTALS_G_PER_ML
EUTECTIC_MASS_FRACTION = 0.121  # sulfate.crystals_below_c
DENSITY_SOURCE = "density after Laliberté and Cooper, J. Chem. Eng. Data 49 (2004) 1141"

OFFSET_SD = 0.002  # one hydrometer against another; common practice, no source
UNREAD: Covariance = (
    (0.0, 0.0, 0.0, 0.0),
    (0.0, 0.0, 0.0, 0.0),
    (0.0, 0.0, FACTOR_SD**2, 0.0),
    (0.0, 0.0, 0.0, OFFSET_SD**2),
)


@dataclass(frozen=True, kw_only=True)
class BathState:
    """
    What the book thinks of the bath after an event; enough to read the log on from here.

    prior_g_per_day: water an average room would dry off now; drying_factor is this room against it.
    covariance: of water [g], salt [g], drying factor [-] and hydrometer offset [SG], in this order.
    """

    day: float
    water_g: float
    salt_g: float
    drying_factor: float
    hydrometer_offset: float
    prior_g_per_day: float
    covariance: Covariance

    @property
    def mass_fraction(self) -> float:
        """Share of anhydrous CuSO4 by mass."""
        return water_and_salt.mass_fraction(self.water_g, self.salt_g)

    @property
    def volume_l(self) -> float:
        return water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)[0]

    @property
    def strength_g_per_l(self) -> float:
        return self.salt_g / self.volume_l

    @property
    def volume_sd_l(self) -> float:
        _, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        return self._sd(by_water, by_salt)

    @property
    def strength_sd_g_per_l(self) -> float:
        volume_l, by_water, by_salt = water_and_salt.volume(self.water_g, self.salt_g, STANDARD_C)
        strength = self.salt_g / volume_l
        return self._sd(-strength * by_water / volume_l, (1 - strength * by_salt) / volume_l)

    @property
    def drying_g_per_day(self) -> float:
        """Water this room dries off now, as far as learned."""
        return self.prior_g_per_day * self.drying_factor

    def _sd(self, by_water: float, by_salt: float) -> float:
        (ww, ws, _, _), (_, ss, _, _), _, _ = self.covariance
        return sqrt(max(0.0, by_water * by_water * ww + 2 * by_water * by_salt * ws + by_salt * by_salt * ss))


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """
    What a reading should show by the book, in the reading's own unit.

    sd: the book's and the reading's together; difference_sd: how many of them the reading lies above the book.
    """

    value: float
    sd: float
    unit: str
    difference_sd: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """The bath at rest at some temperature; strength and volume of the liquid at 20 °C."""

    crystals_g: float
    liquid_strength_g_per_l: float
    liquid_volume_l: float
    working: Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """
    What to take out first, then add; strength and volume that gives, at 20 °C.

    working: of the water, the salt and what to take out, in this order.
    """

    water_l: float
    salt_g: float
    remove_l: float
    strength_g_per_l: float
    volume_l: float
    warnings: tuple[str, ...]
    working: tuple[Working, Working, Working]


def replay(events: Iterable[Event], *, start: BathState | None = None) -> list[BathState]:
    """
    Return what the book thinks after each event, in the order given.

    start: a state to read on from, as if all events before it had been read too.

    Source: an extended Kalman filter, see `kalman`; calibrated in DEVELOPERS.md.

    >>> from chemistry.bath import DensityRead, Mixed, WaterAdded
    >>> mixed = Mixed(day=0, water_l=11, salt_g=3000)
    >>> state = replay([mixed, WaterAdded(day=3, litres=0.5), DensityRead(day=3, sg=1.149)])[-1]
    >>> round(state.volume_l, 1), round(state.strength_g_per_l)
    (12.6, 238)
    """
    bath = None if start is None else _running(start)
    states = []
    for event in events:
        if bath is None:
            bath = _unread(event)
        bath.wait_until(event.day)
        event.happen(bath)
        states.append(_state(bath))
    return states


def _unread(event: Event) -> RunningBath:
    if not event.begins:
        raise ValueError(f"the log must begin with Mixed or Adopted, not {type(event).__name__}")
    return RunningBath(
        day=event.day, water_g=0.0, salt_g=0.0, factor=1.0, offset=0.0, prior_g_per_day=0.0, covariance=UNREAD
    )


def _running(state: BathState) -> RunningBath:
    return RunningBath(
        day=state.day,
        water_g=state.water_g,
        salt_g=state.salt_g,
        factor=state.drying_factor,
        offset=state.hydrometer_offset,
        prior_g_per_day=state.prior_g_per_day,
        covariance=state.covariance,
    )


def _state(bath: RunningBath) -> BathState:
    state = BathState.__new__(BathState)
    # a frozen dataclass sets its fields one by one, which would take a third of the replay
    vars(state).update(
        day=bath.day,
        water_g=bath.water_g,
        salt_g=bath.salt_g,
        drying_factor=bath.factor,
        hydrometer_offset=bath.offset,
        prior_g_per_day=bath.prior_g_per_day,
        covariance=bath.covariance,
    )
    return state


def forecast(state: BathState, *, days: float) -> BathState:
    """
    Return the bath some days on if nothing is done to it and it keeps drying as now.

    >>> from chemistry.bath import DryingRate, Mixed
    >>> open_tray = replay([Mixed(day=0, water_l=3.5, salt_g=800), DryingRate(day=0, g_per_day=40)])[-1]
    >>> later = forecast(open_tray, days=30)
    >>> round(later.volume_l, 2), round(later.strength_g_per_l)
    (2.6, 307)
    """
    if not days >= 0 or not isfinite(days):
        raise ValueError(f"days must be 0 or more, not {days:.6g}")
    bath = _running(state)
    bath.wait_until(state.day + days)
    return _state(bath)


def days_until(state: BathState, *, strength_g_per_l: float) -> float | None:
    """
    Return the days until drying has brought the bath to a strength; 0 if it is there, None if it does not dry.

    The salt stays, so the water left at that strength is known and the rest of it dries at the present rate.

    >>> from chemistry.bath import DryingRate, Mixed
    >>> open_tray = replay([Mixed(day=0, water_l=3.5, salt_g=800), DryingRate(day=0, g_per_day=40)])[-1]
    >>> round(days_until(open_tray, strength_g_per_l=250), 1)
    15.0
    """
    check_range("strength_g_per_l", strength_g_per_l, 0.1, STRONGEST_G_PER_L)
    water_g_per_l, _ = water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)
    to_dry_g = state.water_g - state.salt_g / strength_g_per_l * water_g_per_l
    if to_dry_g <= 0:
        return 0.0
    return to_dry_g / state.drying_g_per_day if state.drying_g_per_day > 0 else None


def expected(state: BathState, reading: Reading) -> Expected:
    """
    Return what a reading should show by the book, on its day.

    Over crystals on the floor a hydrometer or a titration should show a saturated liquid, however much lies there.

    >>> from chemistry.bath import DensityRead, Mixed
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> by_the_book = expected(bath, DensityRead(day=2, sg=1.140))
    >>> round(by_the_book.value, 3), round(by_the_book.difference_sd, 1)
    (1.155, -3.8)
    """
    bath = _running(state)
    bath.wait_until(reading.day)
    model = reading.model(bath)
    value = reading.saturated(bath) if reading.over_crystals(bath) else model[0]
    sd = sqrt(bath.variance_of(model))
    return Expected(value=value, sd=sd, unit=reading.unit, difference_sd=(reading.reading - value) / sd)


def is_far_off(state: BathState, reading: Reading) -> bool:
    """Whether a reading and the book lie so far apart that one of them must be wrong."""
    return abs(expected(state, reading).difference_sd) > FAR_OFF_SD


def strength(state: BathState) -> Figure:
    """
    Return the strength with its working: blue crystals in a litre of bath at 20 °C. [g/L]

    >>> from chemistry.bath import Mixed
    >>> figure = strength(replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1])
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} {figure.unit}; {figure.working.formula}")
    247 ± 10 g/L; strength = salt / (water + salt) × density × 1000
    """
    working = _makeup_working("strength = salt / (water + salt) × density × 1000", state)
    return Figure(value=state.strength_g_per_l, unit="g/L", working=working, sd=state.strength_sd_g_per_l)


def volume(state: BathState) -> Figure:
    """Return the volume at 20 °C with its working. [L]"""
    working = _makeup_working("volume = (water + salt) / density / 1000", state)
    return Figure(value=state.volume_l, unit="L", working=working, sd=state.volume_sd_l)


def _makeup_working(formula: str, state: BathState) -> Working:
    caution = sulfate.caution(state.mass_fraction, STANDARD_C)
    return Working(formula=formula, inputs=_makeup(state), source=DENSITY_SOURCE, caution=caution)


def settle(state: BathState, *, temperature_c: float) -> Settled:
    """
    Return what lies on the floor and how strong the liquid is once the bath has come to rest at a temperature.

    The free water holds what saturates it; the rest of the salt drops as blue crystals, their five waters with them.

    Source: mass balance; sulfate.solubility_mass_fraction.

    >>> from chemistry.bath import Adopted
    >>> bath = replay([Adopted(day=0, volume_l=2.62, strength_g_per_l=286, volume_sd_l=0, strength_sd_g_per_l=0)])[-1]
    >>> settled = settle(bath, temperature_c=10)
    >>> round(settled.crystals_g), round(settled.liquid_strength_g_per_l), round(settled.liquid_volume_l, 2)
    (71, 262, 2.59)
    """
    saturation = water_and_salt.saturation_g_per_g(temperature_c)
    dissolved_g = min(state.salt_g, state.water_g * saturation)
    liquid_l, _, _ = water_and_salt.volume(state.water_g, dissolved_g, STANDARD_C)
    water, salt, _ = _makeup(state)
    working = Working(
        formula="crystals = max(0, salt - water × saturation)",
        inputs=(water, salt, Input(name="saturation", value=saturation, unit="g blue crystals per g water")),
        source="mass balance; solubility fitted to CRC Handbook of Chemistry and Physics, 98th ed., 2017",
    )
    return Settled(
        crystals_g=state.salt_g - dissolved_g,
        liquid_strength_g_per_l=dissolved_g / liquid_l,
        liquid_volume_l=liquid_l,
        working=working,
    )


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
    Return what brings the bath to a strength and a volume: what to take out first, then water and crystals to add.

    As little is taken out as will do, and then either water or crystals or neither is left to add beside the other.
    A target past the rim, or past what the bath holds dissolved at its coldest, is lowered, and a warning says so.

    target_strength_g_per_l, target_volume_l: at 20 °C.
    rim_l: what the tank holds, at temperature_c and at 20 °C.
    coldest_c: the coldest the room gets.
    temperature_c: of the bath and of the water, now.

    Source: mass balance of water and of salt.

    >>> from chemistry.bath import DryingRate, Mixed
    >>> dried = forecast(replay([Mixed(day=0, water_l=11, salt_g=3000), DryingRate(day=0, g_per_day=50)])[-1], days=10)
    >>> advice = top_up(dried, target_strength_g_per_l=250, target_volume_l=12, rim_l=13, coldest_c=10)
    >>> round(advice.water_l, 2), round(advice.salt_g), round(advice.remove_l, 2)
    (0.37, 0, 0.0)
    """
    _check_target(target_strength_g_per_l, target_volume_l, rim_l, coldest_c)
    strength_g_per_l, strength_warnings = _allowed_strength(target_strength_g_per_l, coldest_c)
    volume_l, volume_warnings = _allowed_volume(target_volume_l, strength_g_per_l, rim_l, temperature_c)
    water_g = volume_l * water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)[0]
    salt_g = volume_l * strength_g_per_l

    share = max(0.0, 1 - water_g / state.water_g, 1 - salt_g / state.salt_g if state.salt_g else 0.0)
    now_l, _, _ = water_and_salt.volume(state.water_g, state.salt_g, temperature_c)
    share = share if share * now_l >= TRACE_L else 0.0
    kept_water_g, kept_salt_g = state.water_g * (1 - share), state.salt_g * (1 - share)
    water_g_per_l = 1000 * sulfate.water_density_g_per_ml(temperature_c)
    water_l = (water_g - kept_water_g) / water_g_per_l
    water_l = water_l if water_l >= TRACE_L else 0.0
    added_g = salt_g - kept_salt_g if salt_g - kept_salt_g >= TRACE_G else 0.0

    end_water_g, end_salt_g = kept_water_g + water_l * water_g_per_l, kept_salt_g + added_g
    end_l, _, _ = water_and_salt.volume(end_water_g, end_salt_g, STANDARD_C)
    return Advice(
        water_l=water_l,
        salt_g=added_g,
        remove_l=share * now_l,
        strength_g_per_l=end_salt_g / end_l,
        volume_l=end_l,
        warnings=(*strength_warnings, *volume_warnings, *_stir_first(state, share, temperature_c)),
        working=_top_up_working(state, strength_g_per_l, volume_l, now_l, share, water_g_per_l),
    )


def _check_target(target_strength_g_per_l: float, target_volume_l: float, rim_l: float, coldest_c: float) -> None:
    check_range("target_strength_g_per_l", target_strength_g_per_l, 0.1, CRYSTAL_G_PER_L)
    check_range("target_volume_l", target_volume_l, 0.001, MOST_LITRES)
    check_range("rim_l", rim_l, 0.001, MOST_LITRES)
    check_range("coldest_c", coldest_c, -60.0, sulfate.WARMEST_C)


def _allowed_strength(target_g_per_l: float, coldest_c: float) -> tuple[float, list[str]]:
    """The target, or what still stays dissolved at the coldest; and what to say about it."""
    w = water_and_salt.saturated_mass_fraction(max(coldest_c, sulfate.COLDEST_C))
    saturated_g_per_l = sulfate.strength_g_per_l(w, STANDARD_C)
    warnings = []
    if target_g_per_l > saturated_g_per_l:
        warnings.append(
            f"At {coldest_c:.3g} °C a bath holds only {saturated_g_per_l:.0f} g/L; anything stronger drops crystals. "
            "The amounts go no further than that."
        )
        target_g_per_l = saturated_g_per_l * A_HAIR_LESS
    if coldest_c < _freezes_c(target_g_per_l):
        warnings.append(f"At {coldest_c:.3g} °C ice forms in this bath: keep it somewhere warmer.")
    return target_g_per_l, warnings


def _freezes_c(strength_g_per_l: float) -> float:
    """Where ice forms; a bath too strong for that is solid below the eutectic."""
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, STANDARD_C)
    return sulfate.freezing_point_c(min(w, EUTECTIC_MASS_FRACTION))


def _allowed_volume(
    target_l: float, strength_g_per_l: float, rim_l: float, temperature_c: float
) -> tuple[float, list[str]]:
    """The target, or what the tank holds at 20 °C and at the bath's temperature; and what to say about it."""
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, STANDARD_C)
    shrinks = sulfate.density_g_per_ml(w, temperature_c) / sulfate.density_g_per_ml(w, STANDARD_C)
    most_l = rim_l * min(1.0, shrinks)
    if target_l <= most_l:
        return target_l, []
    return most_l * A_HAIR_LESS, [f"The tank holds {rim_l:.3g} L to the rim. The amounts fill it no further than that."]


def _stir_first(state: BathState, share: float, temperature_c: float) -> list[str]:
    """Liquid taken from over crystals is weaker than the bath, so the sum would not come out."""
    if share and settle(state, temperature_c=temperature_c).crystals_g > TRACE_G:
        return ["Crystals lie on the floor: warm and stir until they are gone before taking any bath out."]
    return []


def _top_up_working(
    state: BathState, strength_g_per_l: float, volume_l: float, now_l: float, share: float, water_g_per_l: float
) -> tuple[Working, Working, Working]:
    water, salt, _ = _makeup(state)
    target_l = Input(name="target volume", value=volume_l, unit="L at 20 °C")
    target_salt = Input(name="target strength", value=strength_g_per_l, unit="g/L")
    free_g_per_l, _ = water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)
    target_water = Input(name="free water in a litre", value=free_g_per_l, unit="g/L")
    kept = Input(name="share kept", value=1 - share, unit="-")
    litre = Input(name="litre of water", value=water_g_per_l, unit="g/L")
    now = Input(name="volume", value=now_l, unit="L")

    caution = sulfate.caution(sulfate.mass_fraction_from_strength(strength_g_per_l, STANDARD_C), STANDARD_C)

    def working(formula: str, *inputs: Input) -> Working:
        source = f"mass balance of water and of salt; {DENSITY_SOURCE}"
        return Working(formula=formula, inputs=inputs, source=source, caution=caution)

    return (
        working(
            "water to add = max(0, target volume × free water in a litre - share kept × water) / litre of water",
            *(target_l, target_water, kept, water, litre),
        ),
        working(
            "crystals to add = max(0, target volume × target strength - share kept × salt)",
            *(target_l, target_salt, kept, salt),
        ),
        working(
            "take out = volume × max(0, 1 - target volume × free water in a litre / water, "
            "1 - target volume × target strength / salt)",
            *(now, target_l, target_water, water, target_salt, salt),
        ),
    )


def _makeup(state: BathState) -> tuple[Input, Input, Input]:
    """What strength and volume follow from."""
    (ww, *_), (_, ss, *_), *_ = state.covariance
    density = (state.water_g + state.salt_g) / state.volume_l / 1000
    return (
        Input(name="water", value=state.water_g, unit="g", sd=sqrt(max(0.0, ww))),
        Input(name="salt", value=state.salt_g, unit="g of blue crystals", sd=sqrt(max(0.0, ss))),
        Input(name="density", value=density, unit="g/mL at 20 °C"),
    )
