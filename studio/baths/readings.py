"""What a reading says of the bath, in the words of the book, to stand beside what the book says."""

from dataclasses import dataclass

from chemistry import bath as bath_model
from chemistry.bath import BathState, DensityRead, LevelRead, Titrated
from chemistry.bath.events import STANDARD_C
from chemistry.measured import HALF_WIDTH_SDS, Measured
from chemistry.solution import sulfate
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths.models import Bath, BathEvent
from studio.pages.quantities import Shown, Units, with_spread

MEMORY_SHARE = 0.1  # ± of a strength from a label or a memory: common practice, no source
A_TRACE_G_PER_L = 0.5  # ± of a strength of nothing: own estimate
UNKNOWN_HALF_WIDTH_G_PER_L = 80.0  # from a weak bath to a saturated one: own estimate
POURED_HALF_WIDTH_SHARE = 0.05  # of a jug of solution by its marks; common practice, no source
HYDROMETER_SD = (Measured(0.0, DensityRead(day=0, sg=1).sd) + Measured(0.0, bath_model.OFFSET_SD)).sd


@dataclass(frozen=True)
class Comparison:
    """A reading and the book, each with its spread; together they decide how far apart the two are."""

    reading: Shown
    book: Shown

    def __str__(self) -> str:
        return f"reads {self.reading}, the book says {self.book}"


def strength_from_hydrometer(*, sg: float, temperature_c: float, reference_c: float) -> tuple[float, float]:
    """Strength that a hydrometer nobody knows yet tells, and its spread. [g/L, g/L]"""
    strength = strength_from_sg(sg, temperature_c, reference_c)
    if strength is None:
        raise Refused("hydrometer", f"SG {sg:.3f} at {temperature_c:.0f} °C is no copper sulfate bath; read it again.")
    return strength, HYDROMETER_SD / hydrometer_rise(strength, temperature_c, reference_c)


def strength_from_memory(g_per_l: float, half_width_g_per_l: float | None) -> tuple[float, float]:
    """Strength as a label or a memory has it, and its spread: a tenth unless somebody knows better. [g/L, g/L]"""
    return g_per_l, (half_width_g_per_l or max(MEMORY_SHARE * g_per_l, A_TRACE_G_PER_L)) / HALF_WIDTH_SDS


def poured_sd_l(litres: float) -> float:
    """How far a jug of solution can be off. [L]"""
    return POURED_HALF_WIDTH_SHARE * litres / HALF_WIDTH_SDS


def strength_nobody_knows(bath: Bath, as_mixed_g_per_l: float | None = None) -> tuple[float, float]:
    """Where a bath mixed long ago most likely stands, and a spread wide enough to be true. [g/L, g/L]"""
    # somebody once mixed it to be used, so the middle of its range is likelier than any other guess
    middle = (bath.range_low_g_per_l + bath.range_high_g_per_l) / 2
    return middle if as_mixed_g_per_l is None else as_mixed_g_per_l, UNKNOWN_HALF_WIDTH_G_PER_L / HALF_WIDTH_SDS


def last_instrument(bath: Bath) -> tuple[str, float]:
    """The scale of the hydrometer last read in a bath and the temperature it was made for."""
    last = estimate.log(bath).filter(kind=BathEvent.Kind.DENSITY_READ).last()
    read = last and last.event
    if not (last and isinstance(read, DensityRead)):
        return "SG", STANDARD_C
    return "°Bé" if "°Bé" in last.words else "SG", read.reference_c


def compare(event: BathEvent, state: BathState, units: Units) -> Comparison:
    """
    A reading beside the book's state, on one scale: litres for a level, strength for all else.

    What is heavier than any solution of copper sulfate stays the specific gravity that it is.
    """
    reading = event.on_day(state.day)
    if isinstance(reading, LevelRead):
        return Comparison(
            with_spread(reading.volume_l, reading.sd_l, "L"), with_spread(state.volume_l, state.volume_sd_l, "L")
        )
    assert isinstance(reading, DensityRead | Titrated)
    # the error that its hydrometer is known for is taken off, as the filter does
    said = said_strength(reading, state)
    if said is None and isinstance(reading, DensityRead):
        if reading.sg > 1:
            book = bath_model.expected(state, reading)
            return Comparison(with_spread(reading.sg, reading.sd, "SG"), with_spread(book.value, book.sd, "SG"))
        # lighter than water nothing can be dissolved in it, so it reads as none
        said = 0.0, reading.sd / hydrometer_rise(0.0, STANDARD_C, STANDARD_C)
    assert said
    return Comparison(units.strength(*said), units.strength(state.strength_g_per_l, state.strength_sd_g_per_l))


def held_out(event: BathEvent, units: Units) -> Comparison | None:
    """The comparison behind a reading that the book does not believe; None when it believes it."""
    step = estimate.step_of(event)
    if step is None or step.state is None or step.far_off_sd is None:
        return None
    return compare(event, step.state, units)


def said_strength(reading: DensityRead | Titrated, state: BathState) -> tuple[float, float] | None:
    """
    What a reading says of the strength and its spread, the error that its hydrometer is known for taken off.

    None where it floats as in no copper sulfate bath. [g/L, g/L]
    """
    if isinstance(reading, Titrated):
        return reading.mol_per_l * sulfate.BLUE_CRYSTALS_G_PER_MOL, reading.sd * sulfate.BLUE_CRYSTALS_G_PER_MOL
    instrument = (reading.temperature_c, reading.reference_c)
    strength = strength_from_sg(reading.sg - state.hydrometer_offset, *instrument)
    return None if strength is None else (strength, reading.sd / hydrometer_rise(strength, *instrument))


def strength_from_sg(sg: float, temperature_c: float, reference_c: float) -> float | None:
    """None where no solution of copper sulfate is so light or so heavy."""
    try:
        mass_fraction = sulfate.mass_fraction_from_sg(sg, temperature_c, reference_c)
    except ValueError:
        return None
    return sulfate.strength_g_per_l(mass_fraction, 20)


def hydrometer_rise(strength_g_per_l: float, temperature_c: float, reference_c: float) -> float:
    """How much a hydrometer rises for one g/L more. [L/g]"""
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, 20)
    density, slope = sulfate.density_and_slope(w, STANDARD_C)
    by_share = (density + w * slope) * 1000 * sulfate.BLUE_PER_ANHYDROUS
    return sulfate.density_slope(w, temperature_c) / sulfate.water_density_g_per_ml(reference_c) / by_share
