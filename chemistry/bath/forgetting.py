"""
Whether something happened to a bath that nobody wrote down: water that went in, or bath that was taken out.

The readings of the last two times that somebody measured, levels and strengths together, are held against the log as it
is, and against the log with a twentieth of the bath put in as water, or taken out, just before them. How many times as
likely they are then is how strongly they speak for it: a bath that is known well asks about no drop, and one that is
known badly asks as soon as there is something to ask.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import log, sqrt

from chemistry.bath.events import MOST_POURED, STANDARD_C, Event, LevelRead, Reading, RunningBath
from chemistry.bath.state import BathState
from chemistry.measured import Measured
from chemistry.solution import sulfate

ONE_SITTING_DAYS = 0.5  # what is read within half a day is read at one time
SLIP_SHARE = 0.05  # of the bath: what is worth a question; half of it is not
LEAST_LOG_ODDS = log(10.0)  # less, and a month of true readings would too often look like something forgotten
TRIED_SHARE = 0.02
WATER, TAKEN_OUT = "water", "taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgotten:
    """
    What the readings look like: water that went in or bath that was taken out, as much as fits them best.

    log_odds: of how many times as likely they are with a twentieth of the bath more or less.
    It happened after one day and before the other, both counted as the log counts them.
    """

    what: str
    litres: Measured
    log_odds: float
    after_day: float
    before_day: float


def forgotten(events: Sequence[Event], *, start: BathState) -> Forgotten | None:
    """
    Return what was most likely not written down before the last two times that a bath was measured, None if nothing.

    events: all that was written since start, in order; readings that the book holds out among them.

    Source: likelihood ratio of a shift of known size, after Willsky and Jones, IEEE Trans. Automatic Control 21 (1976)
    108, from memory; calibrated in DEVELOPERS.md.

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> mixed = replay([Mixed(day=0, water_l=11, salt_g=3000, water_sd_l=0.05, salt_sd_g=10)])[-1]
    >>> low = [LevelRead(day=day, volume_l=11.5, sd_l=0.06) for day in (7, 14)]
    >>> found = forgotten(low, start=mixed)
    >>> found.what, round(found.litres.value, 1)
    ('taken out', 0.6)
    >>> forgotten([LevelRead(day=7, volume_l=12.1, sd_l=0.06)], start=mixed)
    """
    found = max(each_guess(events, start), key=lambda guess: guess.log_odds, default=None)
    return found if found and found.log_odds > LEAST_LOG_ODDS else None


def each_guess(events: Sequence[Event], start: BathState) -> Iterator[Forgotten]:
    """
    Both kinds of slip before each of the last two times of measuring, however little speaks for them.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]
    >>> low = [LevelRead(day=day, volume_l=10.5, sd_l=0.1) for day in (7, 14)]
    >>> [(guess.what, guess.after_day, guess.before_day) for guess in each_guess(low, bath)]
    [('water', 0, 7), ('taken out', 0, 7), ('water', 7, 14), ('taken out', 7, 14)]
    """
    for place in last_sittings(events):
        before = max((event.day for event in events[:place]), default=start.day)
        for what, shift in SHIFTS.items():
            tried_l, slip_l = TRIED_SHARE * start.volume_l, SLIP_SHARE * start.volume_l

            def fits(litres: float, place: int = place, shift: Callable[..., None] = shift) -> float:
                return likelihood(events, start, place, lambda bath: shift(bath, litres))

            as_written, more, less = fits(0.0), fits(tried_l), fits(-tried_l)
            # the readings fit best where the parabola through the three is highest
            slope, bend = (more - less) / (2 * tried_l), (2 * as_written - more - less) / tried_l**2
            if bend > 0:
                yield Forgotten(
                    what=what,
                    litres=Measured(slope / bend, 1 / sqrt(bend), "L"),
                    log_odds=slip_l * slope - slip_l**2 * bend / 2,
                    after_day=before,
                    before_day=events[place].day,
                )


def last_sittings(events: Sequence[Event]) -> Iterator[int]:
    """
    Where the last two times begin at which somebody measured: the place of their first reading.

    >>> list(last_sittings([LevelRead(day=day, volume_l=10, sd_l=0.1) for day in (0, 7, 7.1, 14)]))
    [1, 3]
    """
    readings = [place for place, event in enumerate(events) if isinstance(event, LevelRead) or is_density(event)]
    begun = [
        place
        for earlier, place in zip([None, *readings], readings, strict=False)
        if earlier is None or events[place].day - events[earlier].day > ONE_SITTING_DAYS
    ]
    yield from begun[-2:]


def is_density(event: Event) -> bool:
    """
    Whether it tells how strong the liquid is: a hydrometer or a titration of the copper.

    >>> is_density(LevelRead(day=0, volume_l=10, sd_l=0.1))
    False
    """
    return isinstance(event, Reading) and event.unit in ("SG", "mol/L")


def likelihood(events: Sequence[Event], start: BathState, place: int, shift: Callable[[RunningBath], None]) -> float:
    """
    Return the logarithm of how likely the readings from a place on are, if the bath was shifted just before them. [-]

    Source: the density of a normal distribution without its constant.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]
    >>> level = [LevelRead(day=0, volume_l=bath.volume_l + 1, sd_l=0.1)]
    >>> as_written, with_a_litre = (likelihood(level, bath, 0, lambda it: water_went_in(it, each)) for each in (0, 1))
    >>> as_written < with_a_litre
    True
    """
    bath, found = start.running(), 0.0
    for at, event in enumerate(events):
        bath.wait_until(event.day)
        if at == place:
            shift(bath)
        if isinstance(event, Reading) and at >= place and not is_blind(event, bath):
            model = event.model(bath)
            variance = bath.variance_of(model)
            found -= ((event.reading - model[0]) ** 2 / variance + log(variance)) / 2
        event.apply(bath)
    return found


def is_blind(reading: Reading, bath: RunningBath) -> bool:
    """
    Whether it cannot see all the salt, or speaks of the acid alone.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]
    >>> is_blind(LevelRead(day=0, volume_l=10, sd_l=0.1), bath.running())
    False
    """
    return reading.over_crystals(bath) or not (isinstance(reading, LevelRead) or is_density(reading))


def water_went_in(bath: RunningBath, litres: float) -> None:
    """
    Shift a bath as if so much water had gone in.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]
    >>> running = bath.running()
    >>> water_went_in(running, 1)
    >>> round(running.water_g - bath.water_g)
    998
    """
    bath.water_g += litres * 1000 * sulfate.water_density_g_per_ml(STANDARD_C)
    bath.keep_possible()


def bath_was_taken_out(bath: RunningBath, litres: float) -> None:
    """
    Shift a bath as if so much of it had been taken out, water, salt and acid alike.

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=10, salt_g=2500)])[-1]
    >>> running = bath.running()
    >>> bath_was_taken_out(running, bath.volume_l / 2)
    >>> round(running.water_g / bath.water_g, 3), round(running.salt_g / bath.salt_g, 3)
    (0.5, 0.5)
    """
    kept = 1 - min(litres / bath.volume(bath.salt_g, STANDARD_C)[0], MOST_POURED)
    bath.water_g, bath.salt_g, bath.acid_g = kept * bath.water_g, kept * bath.salt_g, kept * bath.acid_g


SHIFTS = {WATER: water_went_in, TAKEN_OUT: bath_was_taken_out}
