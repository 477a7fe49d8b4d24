"""A reading beside the book: what it says by itself, what the book said before it, and what both say together."""

from dataclasses import dataclass, replace
from math import sqrt

from chemistry.bath import figures
from chemistry.bath.events import AcidRead, LevelRead, Reading
from chemistry.bath.replaying import expected, forecast
from chemistry.bath.state import BathState
from chemistry.measured import plain
from chemistry.sentences import Sentence
from chemistry.solution import water_and_salt
from chemistry.working import Figure, Input, Working

MOST_STEPS = 50  # towards the salt that a reading asks for; a handful is usual
HARDLY_APART_G_PER_G = 1e-9
HARDLY_APART_SD = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """
    Volumes at 20 °C where a level was read, acid in a litre where that was, strengths where anything else was.

    together: None while the reading is held out.
    sees_liquid_only: it cannot see the crystals that the book has on the floor.
    """

    alone: Figure
    before: Figure
    together: Figure | None
    sees_liquid_only: bool = False


def compare(before: BathState, reading: Reading, after: BathState | None) -> Comparison:
    """
    Return what a reading says by itself, what the book said before, and what both say together. [L or g/L]

    before: the bath before the reading, on whatever earlier day; after: with it; None where it is held out.
    What is denser than any bath stays the specific gravity that it is.

    Source: as in `replay`; the reading alone is taken in the water that the book has, its known offset off it.

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> reading = DensityRead(day=2, sg=1.149)
    >>> mixed, read = replay([Mixed(day=0, water_l=11, salt_g=3000), reading])
    >>> said = compare(mixed, reading, read)
    >>> for figure in (said.alone, said.before, said.together):
    ...     print(f"{figure.value:.0f} ± {figure.half_width:.0f} {figure.unit}")
    238 ± 8 g/L
    247 ± 10 g/L
    242 ± 6 g/L
    """
    then = _met_by(before, reading)
    alone = _by_itself(then, reading)
    if alone is None:
        book, plain = expected(before, reading), _unchanged(then, reading)
        return Comparison(
            alone=plain,
            before=Figure(value=book.value, unit=book.unit, sd=book.sd, working=plain.working),
            together=None,
        )
    told = (
        figures.volume
        if isinstance(reading, LevelRead)
        else figures.acid
        if isinstance(reading, AcidRead)
        else figures.strength
    )
    return Comparison(
        alone=alone,
        before=told(then),
        together=together(alone, told(then), told(after)) if after else None,
        sees_liquid_only=reading.over_crystals(then.running()),
    )


def said_alone(before: BathState, reading: Reading) -> Figure:
    """
    What a reading says by itself, without what it is compared with. [L or g/L]

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> reading = DensityRead(day=2, sg=1.149)
    >>> said_alone(bath, reading) == compare(bath, reading, None).alone
    True
    """
    then = _met_by(before, reading)
    return _by_itself(then, reading) or _unchanged(then, reading)


def _met_by(before: BathState, reading: Reading) -> BathState:
    """The bath as a reading on some later day meets it."""
    bath = forecast(before, days=reading.day - before.day).running()
    reading.meets(bath)
    return BathState.of_running(bath)


def _by_itself(then: BathState, reading: Reading) -> Figure | None:
    """None where no bath reads so."""
    if isinstance(reading, LevelRead):
        return level_alone(then, reading)
    if isinstance(reading, AcidRead):
        return acid_alone(then, reading)
    return strength_alone(then, reading)


def _unchanged(then: BathState, reading: Reading) -> Figure:
    """A reading as the instrument shows it."""
    working = Working(formula="reading = as read", inputs=(as_read(reading, then),), source="the instrument")
    return Figure(value=reading.reading, unit=reading.unit, sd=own_sd(then, reading), working=working)


def level_alone(then: BathState, reading: LevelRead) -> Figure:
    """
    What a level says by itself, at 20 °C. [L]

    >>> from chemistry.bath import Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> round(level_alone(bath, LevelRead(day=0, volume_l=11.5, sd_l=0.1)).value, 1)
    11.5
    """
    when_read, *_ = reading.model(then.running())
    share = then.volume_l / when_read
    working = Working(
        formula="volume = reading × volume at 20 °C / volume when read",
        inputs=(
            as_read(reading, then),
            Input(name="volume at 20 °C", value=then.volume_l, unit="L by the book"),
            Input(
                name="volume when read",
                value=when_read,
                unit=Sentence("L by the book at %(temperature_c)s °C")
                % {"temperature_c": plain(reading.temperature_c, 0)},
            ),
        ),
        source=figures.DENSITY_SOURCE,
    )
    return Figure(value=share * reading.volume_l, unit="L", working=working, sd=share * reading.sd_l)


def acid_alone(then: BathState, reading: AcidRead) -> Figure:
    """
    What a reading of the acid says by itself. [g/L]

    >>> from chemistry.bath import AcidTitrated, Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> acid_alone(bath, AcidTitrated(day=0, g_per_l=30.0, sd=1.0)).value
    30.0
    """
    working = Working(formula="acid in a litre = reading", inputs=(as_read(reading, then),), source=reading.source)
    return Figure(value=reading.reading, unit=reading.unit, working=working, sd=reading.reading_sd)


def strength_alone(then: BathState, reading: Reading) -> Figure | None:
    """
    The strength that reads so in the water of the book; nought where it reads lighter, None where no bath does. [g/L]

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> found = strength_alone(bath, DensityRead(day=0, sg=1.149))
    >>> found and round(found.value)
    238
    """
    bath = then.running()
    strongest_g = water_and_salt.STRONGEST_G_PER_G * then.water_g
    for _ in range(MOST_STEPS):
        shows, _, by_salt, *_ = reading.model(bath)
        before_g = bath.salt_g
        bath.salt_g = min(max(0.0, before_g + (reading.reading - shows) / by_salt), strongest_g)
        if abs(bath.salt_g - before_g) < HARDLY_APART_G_PER_G * then.water_g:
            break
    if bath.salt_g == strongest_g:
        return None
    found = BathState.of_running(bath)
    _, _, by_salt, *_ = reading.model(bath)
    _, _, volume_by_salt, _ = found.volume()
    per_unit = (1 - found.strength_g_per_l * volume_by_salt) / found.volume_l / by_salt
    working = Working(
        formula="strength = salt / volume",
        inputs=(
            as_read(reading, then),
            Input(name="salt", value=found.salt_g, unit="g of blue crystals that read so in the water of the book"),
            Input(name="volume", value=found.volume_l, unit="L at 20 °C with so much salt"),
        ),
        source=figures.DENSITY_SOURCE,
    )
    return Figure(value=found.strength_g_per_l, unit="g/L", working=working, sd=per_unit * own_sd(then, reading))


def own_sd(then: BathState, reading: Reading) -> float:
    """
    The spread of one reading, what its hydrometer may always be off among it. [as the reading]

    Source: as in `replay`.

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> round(own_sd(bath, DensityRead(day=0, sg=1.149)), 4)
    0.0025
    """
    bath = then.running()
    _, _, _, by_offset, _, variance = reading.model(bath)
    return sqrt(variance + by_offset * by_offset * bath.offset_variance)


def as_read(reading: Reading, then: BathState) -> Input:
    """
    A reading as the working of a figure names it.

    >>> from chemistry.bath import DensityRead, Mixed, replay
    >>> bath = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> as_read(DensityRead(day=0, sg=1.149), bath).value
    1.149
    """
    return Input(name="reading", value=reading.reading, unit=reading.unit, sd=own_sd(then, reading))


def together(alone: Figure, before: Figure, after: Figure) -> Figure:
    """
    What a reading and the book say together, and with what weight. [L or g/L]

    >>> working = Working(formula="", inputs=(), source="")
    >>> alone, before, after = (Figure(value=value, unit="g/L", sd=4, working=working) for value in (238, 246, 242))
    >>> together(alone, before, after).working.inputs[-1].value
    0.5
    """
    apart = alone.value - before.value
    # where the two agree the difference tells no weight, and the spreads do
    if abs(apart) > HARDLY_APART_SD * before.sd:
        weight = (after.value - before.value) / apart
    else:
        weight = 1 - (after.sd / before.sd) ** 2 if before.sd else 0.0
    working = replace(
        after.working,
        formula=Sentence("together = before + weight × (alone - before)"),
        inputs=(
            Input.measured("alone", alone),
            Input.measured("before", before),
            Input(name="weight", value=weight, unit="that the reading has beside the book, by the ± of both"),
        ),
        source=Sentence("extended Kalman filter, after Bar-Shalom, Li and Kirubarajan, 2001, from memory"),
    )
    return Figure(value=after.value, unit=after.unit, working=working, sd=after.sd)
