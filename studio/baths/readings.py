"""What a reading says of the bath, in the words of the book, to stand beside what the book says."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import hypot

from django.utils.translation import gettext as _

from chemistry import bath as bath_model
from chemistry.bath import BathState, Comparison, DensityRead, Reading
from chemistry.bath.events import STANDARD_C, STRONGEST_G_PER_L
from chemistry.measured import HALF_WIDTH_SDS, Measured, plain
from chemistry.quantity import quantity
from chemistry.solution import sulfate, water_and_salt
from chemistry.solution.strengths import strength
from chemistry.working import Figure
from inventory.refusals import Refused
from studio.baths import estimate
from studio.baths.models import Bath, BathEvent
from studio.pages.quantities import Shown, Units, displayed

MEMORY_SHARE = 0.1  # ± of a strength from a label or a memory: common practice, no source
A_RECIPES_ACID_G_PER_L = 50.0  # of sulfuric acid, as plating baths have it: common practice, no source
A_TRACE_G_PER_L = 0.5  # ± of a strength of nothing: own estimate
UNKNOWN_HALF_WIDTH_G_PER_L = 80.0  # from a weak bath to a saturated one: own estimate
POURED_HALF_WIDTH_SHARE = 0.05  # of a jug of solution by its marks; common practice, no source
HYDROMETER_SD = (Measured(0.0, DensityRead(day=0, sg=1).sd) + Measured(0.0, bath_model.OFFSET_SD)).sd


@dataclass(frozen=True)
class DisplayedReading:
    """A reading and the book, each with its spread, and what both say together; empty while it is held out."""

    reading: Shown
    book: Shown
    together: Shown | None
    sees_liquid_only: bool

    def __str__(self) -> str:
        reading = str(self.reading)
        if self.sees_liquid_only:
            reading = _("%(reading)s of the liquid, blind to crystals on the floor") % {"reading": self.reading}
        if self.together is None:
            return _("reads %(reading)s, the book says %(book)s") % {"reading": reading, "book": self.book}
        return _("Alone it says %(reading)s; the book said %(book)s; together %(together)s.") % {
            "reading": reading,
            "book": self.book,
            "together": self.together,
        }


def strength_from_hydrometer(
    *, sg: float, temperature_c: float, reference_c: float, acid_g_per_l: float = 0.0, acid_sd_g_per_l: float = 0.0
) -> tuple[float, float]:
    """Strength that a hydrometer nobody knows yet tells beside so much acid, and its spread. [g/L, g/L]"""
    strength = strength_from_sg(sg, temperature_c, reference_c)
    if strength and acid_g_per_l:
        strength = strength_beside_acid(sg * sulfate.water_density_g_per_ml(reference_c), acid_g_per_l, temperature_c)
    if strength is None:
        raise Refused(
            "hydrometer",
            _("SG %(sg)s at %(temperature_c)s is no copper sulfate bath; read it again.")
            % {"sg": plain(sg, 3), "temperature_c": quantity(temperature_c, "°C", decimals=0)},
        )
    # a gram of acid reads nearly as a gram of crystals
    return strength, hypot(HYDROMETER_SD / hydrometer_rise(strength, temperature_c, reference_c), acid_sd_g_per_l)


def what_acid_does(state: BathState) -> str:
    """What acid that nobody told of would do to a hydrometer; empty where it is known how much there is."""
    if state.acid_is_known:
        return ""
    strength_g_per_l = min(state.strength_g_per_l, STRONGEST_G_PER_L)
    water_g = water_and_salt.water_for(1.0, strength_g_per_l, A_RECIPES_ACID_G_PER_L, STANDARD_C)[0]
    weighs_g_per_l = water_g + strength_g_per_l + A_RECIPES_ACID_G_PER_L
    reference_g_per_l = 1000 * sulfate.water_density_g_per_ml(STANDARD_C)
    with_acid = strength_from_sg(weighs_g_per_l / reference_g_per_l, STANDARD_C, STANDARD_C)
    if with_acid is None:
        return _("Nobody has said whether there is acid in it. A hydrometer takes acid for copper sulfate.")
    return _(
        "Nobody has said whether there is acid in it. A hydrometer takes acid for copper sulfate: "
        "with %(A_RECIPES_ACID_G_PER_L)s of acid this bath would read %(with_acid)s "
        "instead of %(strength)s."
    ) % {
        "A_RECIPES_ACID_G_PER_L": quantity(A_RECIPES_ACID_G_PER_L, "g/L", decimals=0),
        "with_acid": strength(with_acid),
        "strength": strength(strength_g_per_l),
    }


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


def comparisons(events: Iterable[BathEvent]) -> Iterator[tuple[BathEvent, Comparison]]:
    """
    Of the readings among them; of a bath that was unread until then there is nothing to compare.

    events: `with_state_before`.
    """
    for event, before, after in estimate.states_around(each for each in events if each.kind in BathEvent.READINGS):
        yield event, compare(event, before, after, held_out=event.is_held_out)


def displayed_readings(events: Iterable[BathEvent], units: Units) -> list[tuple[BathEvent, DisplayedReading]]:
    return [(event, displayed_reading(comparison, units)) for event, comparison in comparisons(events)]


def compare(event: BathEvent, before: BathState, after: BathState, *, held_out: bool) -> Comparison:
    return bath_model.compare(before, reading_of(event, after), None if held_out else after)


def alone(event: BathEvent, before: BathState, after: BathState) -> Figure:
    """What a reading says by itself, for a drawing that shows no more of it."""
    return bath_model.said_alone(before, reading_of(event, after))


def reading_of(event: BathEvent, after: BathState) -> Reading:
    reading = event.on_day(after.day)
    assert isinstance(reading, Reading)
    return reading


def displayed_reading(comparison: Comparison, units: Units) -> DisplayedReading:
    return DisplayedReading(
        reading=in_studio_units(comparison.alone, units),
        book=in_studio_units(comparison.before, units),
        together=in_studio_units(comparison.together, units) if comparison.together else None,
        sees_liquid_only=comparison.sees_liquid_only,
    )


def in_studio_units(figure: Figure, units: Units) -> Shown:
    return units.strength(figure.value, figure.sd) if figure.unit == "g/L" else displayed(figure)


def held_out(event: BathEvent, units: Units) -> DisplayedReading | None:
    """The comparison behind a reading that the book does not believe; None when it believes it."""
    step = estimate.step_of(event)
    if step is None or step.state is None or step.far_off_sd is None:
        return None
    # the book waited while it was held out, so it says now what it said before
    return displayed_reading(compare(event, step.state, step.state, held_out=True), units)


def strength_from_sg(sg: float, temperature_c: float, reference_c: float) -> float | None:
    """None where no solution of copper sulfate is so light or so heavy."""
    try:
        mass_fraction = sulfate.mass_fraction_from_sg(sg, temperature_c, reference_c)
    except ValueError:
        return None
    return sulfate.strength_g_per_l(mass_fraction, 20)


def strength_beside_acid(g_per_ml: float, acid_g_per_l: float, temperature_c: float) -> float | None:
    """The strength of a bath of that density with so much acid in a litre; None where the acid alone is heavier."""
    low, high = 0.0, STRONGEST_G_PER_L
    for __ in range(60):
        middle = (low + high) / 2
        water_g, _ = water_and_salt.water_for(1.0, middle, acid_g_per_l, temperature_c)
        low, high = (middle, high) if (water_g + middle + acid_g_per_l) / 1000 < g_per_ml else (low, middle)
    return low or None


def hydrometer_rise(strength_g_per_l: float, temperature_c: float, reference_c: float) -> float:
    """How much a hydrometer rises for one g/L more. [L/g]"""
    w = sulfate.mass_fraction_from_strength(strength_g_per_l, 20)
    density, slope = sulfate.density_and_slope(w, STANDARD_C)
    by_share = (density + w * slope) * 1000 * sulfate.BLUE_PER_ANHYDROUS
    return sulfate.density_slope(w, temperature_c) / sulfate.water_density_g_per_ml(reference_c) / by_share
