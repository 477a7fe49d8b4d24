"""
Where a studio's copper went: what came in is what is there now, what left, and what nobody can explain.

Copper is neither made nor lost, so over any time the two sides differ by no more than they are known. The book of a
bath closes by itself as long as nobody reads the bath: what its readings make of it, against what its log says, is
where missing copper shows. How far the two may stand apart follows from how much surer the readings made the book.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, sqrt
from typing import NamedTuple

from chemistry import bath
from chemistry.bath import BathState
from chemistry.bath import events as bath_events
from chemistry.bath.events import Event, Reading, Removed
from chemistry.copper.biting import DENSITY_SOURCE
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2
from chemistry.ranges import check_range
from chemistry.solution import sulfate
from chemistry.working import HALF_WIDTH_SDS, Figure, Input, Working

CALLIPER_HALF_WIDTH_MM = 0.02  # of a calliper, or of a gauge as sold: common practice, no source
THICKEST_SHEET_MM = 10.0


class Copper(NamedTuple):
    """An amount of copper and its sd. [g]"""

    grams: float
    sd_g: float


class Amount(NamedTuple):
    """Copper under the name that it has in the sum."""

    name: str
    copper: Copper


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Both sides of a period, and what is left over: above nought more came in than can be found."""

    came: Sequence[Amount]
    went: Sequence[Amount]
    unexplained: Figure

    @property
    def closes(self) -> bool:
        """Whether the sides agree as well as they are known."""
        return abs(self.unexplained.value) <= (self.unexplained.half_width or 0.0)


def balance(*, came: Sequence[Amount], went: Sequence[Amount], sds_g: Mapping[str, float]) -> Balance:
    """
    Set what came in against what is there and what left.

    sds_g: what keeps the two sides apart, each with its sd; the errors of a bath's amounts hang together, so they are
    not simply those of the amounts.

    >>> sides = balance(
    ...     came=[Amount("bitten", Copper(20.0, 0.4))],
    ...     went=[Amount("stripped", Copper(14.0, 0.3)), Amount("on cathodes", Copper(5.5, 0.3))],
    ...     sds_g={"the current": 0.4, "the scale": 0.3, "what is on cathodes": 0.3},
    ... )
    >>> print(f"{sides.unexplained.value:.1f} ± {sides.unexplained.half_width:.1f} g", sides.closes)
    0.5 ± 1.1 g True
    """
    left_over = sum(each.copper.grams for each in came) - sum(each.copper.grams for each in went)
    taken_off = "".join(f" - {each.name}" for each in went)
    spread = "; ".join(f"{name} ± {HALF_WIDTH_SDS * sd:.1f} g" for name, sd in sds_g.items() if sd)
    working = Working(
        formula=f"unexplained = {' + '.join(each.name for each in came) or '0'}{taken_off}",
        inputs=tuple(
            Input(name=each.name, value=each.copper.grams, unit="g", sd=each.copper.sd_g) for each in (*came, *went)
        ),
        source=f"conservation of mass; its own ± comes from {spread or 'nothing'}",
    )
    unexplained = Figure(value=left_over, unit="g", working=working, sd=hypot(*sds_g.values()))
    return Balance(came=tuple(came), went=tuple(went), unexplained=unexplained)


def together(parts: Iterable[Copper], *, guessed_alike: bool = False) -> Copper:
    """
    Return several amounts as one. Where one guess served for all of them, as with drips, it is wrong for all alike.

    >>> parts = [Copper(3.0, 0.3), Copper(4.0, 0.4)]
    >>> together(parts).sd_g, together(parts, guessed_alike=True).sd_g
    (0.5, 0.7)
    """
    listed = list(parts)
    sds = [part.sd_g for part in listed]
    return Copper(sum(part.grams for part in listed), sum(sds) if guessed_alike else hypot(*sds))


def of_figure(figure: Figure) -> Copper:
    return Copper(figure.value, figure.sd or 0.0)


def in_bath(state: BathState | None) -> Copper:
    """The copper in a bath, dissolved or on its floor; none while nothing is known of it."""
    if state is None:
        return Copper(0.0, 0.0)
    return Copper(sulfate.COPPER_PER_BLUE * state.salt_g, sulfate.COPPER_PER_BLUE * sqrt(_salt_variance(state)))


def put_in(before: BathState | None, after: BathState) -> Copper:
    """The copper that crystals or a solution brought a bath, by the book before and after."""
    added_g = after.salt_g - (before.salt_g if before else 0.0)
    variance = _salt_variance(after) - (_salt_variance(before) if before else 0.0)
    return Copper(sulfate.COPPER_PER_BLUE * added_g, sulfate.COPPER_PER_BLUE * sqrt(max(0.0, variance)))


def taken_out(event: Removed, before: BathState, after: BathState) -> Copper:
    """The copper that left a bath with its liquid and with crystals off its floor."""
    lost_g = sulfate.COPPER_PER_BLUE * (before.salt_g - after.salt_g)
    crystals_g = sulfate.COPPER_PER_BLUE * event.crystals_g
    return Copper(lost_g, hypot(_pour_share(event) * (lost_g - crystals_g), bath_events.WET_SHARE * crystals_g))


def readings_against_log(events: Sequence[Event], *, start: BathState | None, end: BathState) -> float:
    """
    Return how far the readings of a bath may have moved the book from its log, when nothing went astray: an sd. [g]

    What readings correct is exactly as uncertain as they made the book surer: variance by the log alone, less the
    variance with them.

    events: all of the log from a begun bath, or from `start`, to `end`.
    """
    log = [event for event in events if not isinstance(event, Reading)]
    by_log = bath.replay(log, start=start)[-1] if log else start
    if by_log is None:
        return 0.0
    return sulfate.COPPER_PER_BLUE * sqrt(max(0.0, _salt_variance(by_log) - _salt_variance(end)))


def left_by_biting(charges_ah: Iterable[float]) -> float:
    """How unsure the book is of the copper that bites left in a bath or took from it: an sd. [g]"""
    return sulfate.COPPER_PER_BLUE * bath_events.SALT_G_PER_SQRT_AH * sqrt(sum(charges_ah))


def in_sheet(*, area_cm2: float, thickness_mm: float) -> Figure:
    """
    Return the copper in a flat sheet by its size. [g]

    >>> figure = in_sheet(area_cm2=30.48 * 45.72, thickness_mm=1.29)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    1611 ± 25 g
    """
    check_range("area", area_cm2, 1e-3, LARGEST_CM2, "cm²")
    check_range("thickness", thickness_mm, 0.01, THICKEST_SHEET_MM, "mm")
    sd_mm = CALLIPER_HALF_WIDTH_MM / HALF_WIDTH_SDS
    working = Working(
        formula="copper = density of copper × area × thickness / 10",
        inputs=(
            Input(name="density of copper", value=COPPER_G_PER_CM3, unit="g/cm³"),
            Input(name="area", value=area_cm2, unit="cm²"),
            Input(name="thickness", value=thickness_mm, unit="mm", sd=sd_mm),
        ),
        source=DENSITY_SOURCE,
    )
    per_mm = COPPER_G_PER_CM3 * area_cm2 / 10
    return Figure(value=per_mm * thickness_mm, unit="g", working=working, sd=per_mm * sd_mm)


def is_flow(event: Event) -> bool:
    """Whether copper came into a bath or left it: drying moves water alone, and a bite what the current says."""
    return event.begins or isinstance(event, Removed | bath_events.CrystalsAdded | bath_events.SolutionAdded)


def _salt_variance(state: BathState) -> float:
    return max(0.0, state.covariance[1][1])


def _pour_share(event: Removed) -> float:
    """The sd of what was poured, as a share of it."""
    if not event.litres:
        return 0.0
    usual_l = bath_events.POUR_SHARE * event.litres + bath_events.POUR_L
    return (usual_l if event.sd_l is None else event.sd_l) / event.litres
