"""The bath's log replayed into what the book thinks of it; what it will be, and what a reading should show."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, sqrt

from chemistry.bath.events import STANDARD_C, STRONGEST_G_PER_L, AcidRead, Doubted, Event, LevelRead, Reading
from chemistry.bath.kalman_filter import Variances
from chemistry.bath.state import BathState
from chemistry.measured import digits
from chemistry.ranges import check_range
from chemistry.solution import water_and_salt

MODEL_VERSION = 4  # raise it whenever a replay would give other figures: kept states are then replayed anew
FAR_OFF_SD = 3.0  # a reading further than this from the book is held out until somebody decides

FACTOR_SD = 0.6  # rooms dry a tank at half to double the prior; own simulation, tests/chemistry/bath/simulation.py
OFFSET_SD = 0.002  # one hydrometer against another; common practice, no source
UNREAD: Variances = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, FACTOR_SD**2, 0.0, 0.0, OFFSET_SD**2, 0.0, 0.0)


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


def replay(events: Iterable[Event], *, start: BathState | None = None) -> list[BathState]:
    """
    Return what the book thinks after each event, in the order given.

    start: a state to read on from, as if all events before it had been read too.

    Source: an extended Kalman filter, see `kalman_filter`; calibrated in DEVELOPERS.md.

    >>> from chemistry.bath import DensityRead, Mixed, WaterAdded
    >>> mixed = Mixed(day=0, water_l=11, salt_g=3000)
    >>> state = replay([mixed, WaterAdded(day=3, litres=0.5), DensityRead(day=3, sg=1.149)])[-1]
    >>> round(state.volume_l, 1), round(state.strength_g_per_l)
    (12.6, 238)
    """
    bath = None if start is None else start.running()
    states = []
    for event in events:
        if bath is None:
            if not event.begins:
                raise ValueError(f"the log must begin with Mixed or Adopted, not {type(event).__name__}")
            bath = BathState(
                day=event.day,
                water_g=0.0,
                salt_g=0.0,
                drying_factor=1.0,
                hydrometer_offset=0.0,
                prior_g_per_day=0.0,
                variances=UNREAD,
            ).running()
        # water dries off until then, whatever the event itself changes
        bath.wait_until(event.day)
        event.apply(bath)
        states.append(BathState.of_running(bath))
    return states


def forecast(state: BathState, *, days: float) -> BathState:
    """
    Return the bath some days on if nothing is done to it and it keeps drying as now.
    Source: as in `replay`; water lost as learned from the levels.

    >>> from chemistry.bath import DryingRate, Mixed
    >>> open_tray = replay([Mixed(day=0, water_l=3.5, salt_g=800), DryingRate(day=0, g_per_day=40)])[-1]
    >>> later = forecast(open_tray, days=30)
    >>> round(later.volume_l, 2), round(later.strength_g_per_l)
    (2.6, 307)
    """
    # this way round, so that what is no number is refused as well
    if not days >= 0 or not isfinite(days):
        raise ValueError(f"days must be 0 or more, not {digits(days)}")
    bath = state.running()
    bath.wait_until(state.day + days)
    return BathState.of_running(bath)


def water_per_litre(state: BathState, strength_g_per_l: float) -> float:
    """
    Return the free water in a litre once drying or water has brought a bath to a strength, its acid unchanged. [g/L]
    Source: mass balance; density after Laliberté and Cooper 2004.

    >>> from chemistry.bath import Mixed
    >>> round(water_per_litre(replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1], 250))
    904
    """
    if not (state.acid_g and state.salt_g):
        return water_and_salt.water_per_litre(strength_g_per_l, STANDARD_C)[0]
    acid_g_per_l = strength_g_per_l * state.acid_g / state.salt_g
    return water_and_salt.water_for(1.0, strength_g_per_l, acid_g_per_l, STANDARD_C)[0]


def days_until(state: BathState, *, strength_g_per_l: float) -> float | None:
    """
    Return the days until drying has brought the bath to a strength; 0 if it is there, None if it does not dry. [d]
    Source: mass balance of water and salt.

    The salt stays, so the water left at that strength is known and the rest of it dries at the present rate.

    >>> from chemistry.bath import DryingRate, Mixed
    >>> open_tray = replay([Mixed(day=0, water_l=3.5, salt_g=800), DryingRate(day=0, g_per_day=40)])[-1]
    >>> round(days_until(open_tray, strength_g_per_l=250), 1)
    15.0
    """
    check_range("strength_g_per_l", strength_g_per_l, 0.1, STRONGEST_G_PER_L)
    to_dry_g = state.water_g - state.salt_g / strength_g_per_l * water_per_litre(state, strength_g_per_l)
    # past that strength already: it is there now, not some days ago
    if to_dry_g <= 0:
        return 0.0
    return to_dry_g / state.drying_g_per_day if state.drying_g_per_day > 0 else None


def expected(state: BathState, reading: Reading) -> Expected:
    """
    Return what a reading should show by the book, on its day.
    Source: as in `replay`.

    Over crystals on the floor a hydrometer or a titration should show a saturated liquid, however much lies there.

    >>> from chemistry.bath import DensityRead, Mixed
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> by_the_book = expected(bath, DensityRead(day=2, sg=1.140))
    >>> round(by_the_book.value, 3), round(by_the_book.difference_sd, 1)
    (1.155, -3.8)
    """
    bath = state.running()
    bath.wait_until(reading.day)
    reading.meets(bath)
    model = reading.model(bath)
    value = reading.saturated(bath) if reading.over_crystals(bath) else model[0]
    sd = sqrt(bath.variance_of(model))
    return Expected(value=value, sd=sd, unit=reading.unit, difference_sd=(reading.reading - value) / sd)


def is_far_off(state: BathState, reading: Reading) -> bool:
    """
    Tell whether a reading and the book lie more than 3 sd apart, so that one of them must be wrong. [-]
    Source: own choice; of a thousand true readings it holds back three.

    >>> from chemistry.bath import DensityRead, Mixed
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> [is_far_off(bath, DensityRead(day=1, sg=sg)) for sg in (1.10, 1.15)]
    [True, False]
    """
    return abs(expected(state, reading).difference_sd) > FAR_OFF_SD


def trust(state: BathState, reading: Reading) -> BathState:
    """
    Return the bath after a reading that somebody trusts against the book, however far apart the two are.

    The spread opens as wide as they differ: salt by what alone would explain it, at most by what the strongest
    solution holds; water by the same share of itself while that is small. A level opens both alike.

    Source: own choice of the spread; the reading then speaks as in `replay`, softly at first.

    >>> from chemistry.bath import DensityRead, Mixed
    >>> weak = replay([Mixed(day=0, water_l=10, salt_g=30)])[-1]
    >>> trusted = trust(weak, DensityRead(day=1, sg=1.15, temperature_c=30))
    >>> round(weak.strength_g_per_l), round(trusted.strength_g_per_l)
    (3, 246)
    """
    bath = state.running()
    bath.wait_until(reading.day)
    apart = abs(reading.reading - expected(state, reading).value)
    value, _, by_salt, _, by_acid, _ = reading.model(bath)
    if isinstance(reading, AcidRead):
        # it tells of the acid alone
        bath.aa += (apart / by_acid) ** 2
        reading.apply_softly(bath)
        bath.acid_is_known = True
        return BathState.of_running(bath)
    if isinstance(reading, LevelRead):
        share, salt_sd_g = apart / value, apart / value * bath.salt_g
        fullest_l = max(value, reading.volume_l)
    else:
        salt_sd_g = apart / by_salt
        # water explains a small difference as well as salt does; no bath grows weak to strong by drying alone
        share = salt_sd_g * bath.salt_g / (salt_sd_g**2 + bath.salt_g**2) if apart else 0.0
        fullest_l = value = bath.volume(bath.salt_g, STANDARD_C)[0]
    most_salt_g = STRONGEST_G_PER_L * fullest_l
    Doubted(day=reading.day, water_sd_l=share * value, salt_sd_g=min(salt_sd_g, most_salt_g)).apply(bath)
    reading.apply_softly(bath)
    return BathState.of_running(bath)
