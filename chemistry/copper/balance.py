"""
Where a studio's copper went: what came in is what is there now, what left, and what nobody can explain.

Copper is neither made nor lost, so over any time the two sides differ by no more than they are known. The book of a
bath closes by itself as long as nobody reads the bath: what its readings make of it, against what its log says, is
where missing copper shows. How far the two may stand apart follows from how much surer the readings made the book.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

from chemistry import bath
from chemistry.bath import BathState
from chemistry.bath import events as bath_events
from chemistry.bath.events import Event, Reading
from chemistry.copper.biting import DENSITY_SOURCE
from chemistry.copper.electrolysis import COPPER_G_PER_CM3, LARGEST_CM2
from chemistry.measured import HALF_WIDTH_SDS, Measured, total
from chemistry.quantity import quantity
from chemistry.ranges import check_range
from chemistry.sentences import MINUS, PLUS, Sentence, strung
from chemistry.solution import sulfate
from chemistry.working import Figure, Input, Working

CALLIPER_HALF_WIDTH_MM = 0.02  # of a calliper, or of a gauge as sold: common practice, no source
THICKEST_SHEET_MM = 10.0
NONE = Measured(0.0, unit="g")


class Amount(NamedTuple):
    """Copper under the name that it has in the sum."""

    name: str
    copper: Measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Both sides of a period, and what is left over: above nought more came in than can be found."""

    came: Sequence[Amount]
    went: Sequence[Amount]
    unexplained: Figure

    @property
    def closes(self) -> bool:
        """Whether the sides agree as well as they are known."""
        return abs(self.unexplained.value) <= self.unexplained.half_width


def balance(*, came: Sequence[Amount], went: Sequence[Amount], errors: Mapping[str, Measured]) -> Balance:
    """
    Return both sides of a period, and what came in less what is there and what left. [g]

    errors: what keeps the two sides apart, each with its sign; the errors of a bath's amounts hang together, so they
    are not simply those of the amounts.

    Source: conservation of mass.

    >>> bitten, stripped, on_cathodes = Measured(20.0, 0.4, "g"), Measured(14.0, 0.3, "g"), Measured(5.5, 0.3, "g")
    >>> sides = balance(
    ...     came=[Amount("bitten", bitten)],
    ...     went=[Amount("stripped", stripped), Amount("on cathodes", on_cathodes)],
    ...     errors={"the current": bitten, "the scale": stripped, "what is on cathodes": on_cathodes},
    ... )
    >>> print(f"{sides.unexplained.value:.1f} ± {sides.unexplained.half_width:.1f} g", sides.closes)
    0.5 ± 1.1 g True
    """
    # the amounts are summed without their errors: those hang together and come by `errors`
    left_over = sum(each.copper.value for each in came) - sum(each.copper.value for each in went)
    added = strung((each.name for each in came), PLUS) if came else "0"
    less = strung([added, *(each.name for each in went)], MINUS)
    spread = [
        Sentence("%(name)s ± %(grams)s") % {"name": name, "grams": quantity(error.half_width, "g", 2)}
        for name, error in errors.items()
        if error.sd
    ]
    nothing_known = Sentence("conservation of mass; its own ± comes from nothing")
    known = Sentence("conservation of mass; its own ± comes from %(errors)s") % {"errors": spread}
    working = Working(
        formula=Sentence("unexplained = %(sum)s") % {"sum": less},
        inputs=tuple(Input.measured(each.name, each.copper) for each in (*came, *went)),
        source=known if spread else nothing_known,
    )
    errors_g = total(errors.values(), "g")
    unexplained = errors_g + Measured(left_over - errors_g.value, unit="g")
    return Balance(came=tuple(came), went=tuple(went), unexplained=Figure(value=unexplained, unit="g", working=working))


def put_in(before: BathState | None, after: BathState) -> Measured:
    """
    Return the copper that crystals or a solution brought a bath, by the book before and after. [g]

    Source: mass balance; copper in the salt by the IUPAC standard atomic weights, 2021.

    >>> mixed = bath.replay([bath.Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> put_in(None, mixed)
    Measured(764, 5.09, 'g')
    """
    salt = after.measured().salt
    before_salt = before.measured().salt if before else NONE
    # what went in adds its own error to that of the bath, so only the rest of it is new
    added_sd_g = sqrt(max(0.0, salt.sd**2 - before_salt.sd**2))
    return Measured(salt.value - before_salt.value, added_sd_g, "g") * sulfate.COPPER_PER_BLUE


def readings_against_log(events: Sequence[Event], *, start: BathState | None, end: BathState) -> Measured:
    """
    Return how far the readings of a bath may have moved the book from its log, when nothing went astray. [g]

    What readings correct is exactly as uncertain as they made the book surer: variance by the log alone, less the
    variance with them.

    events: all of the log from a begun bath, or from `start`, to `end`.

    Source: a Kalman filter's correction and its new error are not correlated.

    >>> log = [bath.Mixed(day=0, water_l=11, salt_g=3000), bath.DensityRead(day=1, sg=1.154)]
    >>> readings_against_log(log, start=None, end=bath.replay(log)[-1])
    Measured(0, 1.18, 'g')
    """
    # the same log without its readings: what they changed is what the balance may miss
    log = [event for event in events if not isinstance(event, Reading)]
    by_log = bath.replay(log, start=start)[-1] if log else start
    if by_log is None:
        return NONE
    variance = by_log.measured().copper.sd ** 2 - end.measured().copper.sd ** 2
    return Measured(0.0, sqrt(max(0.0, variance)), "g")


def left_by_biting(charges_ah: Iterable[float]) -> Measured:
    """
    Return how unsure the book is of the copper that bites left in a bath or took from it. [g]

    Source: own estimate, bath.events.SALT_G_PER_SQRT_AH.

    >>> left_by_biting([4.0, 5.0])
    Measured(0, 1.15, 'g')
    """
    sd_g = sulfate.COPPER_PER_BLUE * bath_events.SALT_G_PER_SQRT_AH * sqrt(sum(charges_ah))
    return Measured(0.0, sd_g, "g")


def in_sheet(*, area_cm2: float, thickness_mm: float, calliper: str = "") -> Figure:
    """
    Return the copper in a flat sheet by its size. [g]

    calliper: what all was measured with that is wrong alike.

    Source: density of copper from CRC Handbook of Chemistry and Physics, 102nd ed., 2021.

    >>> figure = in_sheet(area_cm2=30.48 * 45.72, thickness_mm=1.29)
    >>> print(f"{figure.value:.0f} ± {figure.half_width:.0f} g")
    1611 ± 25 g
    """
    check_range("area", area_cm2, 1e-3, LARGEST_CM2, "cm²")
    check_range("thickness", thickness_mm, 0.01, THICKEST_SHEET_MM, "mm")
    # the error of a ruled area is neglected beside that of the thickness
    thickness = Measured(thickness_mm, CALLIPER_HALF_WIDTH_MM / HALF_WIDTH_SDS, "mm", error=calliper)
    working = Working(
        formula="copper = density of copper × area × thickness / 10",
        inputs=(
            Input(name="density of copper", value=COPPER_G_PER_CM3, unit="g/cm³"),
            Input(name="area", value=area_cm2, unit="cm²"),
            Input.measured("thickness", thickness),
        ),
        source=DENSITY_SOURCE,
    )
    return Figure(value=thickness * (COPPER_G_PER_CM3 * area_cm2 / 10), unit="g", working=working)
