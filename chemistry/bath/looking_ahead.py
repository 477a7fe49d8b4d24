"""A bath drawn forward: what it would be if somebody did this and that, before anybody does it."""

from dataclasses import dataclass

from chemistry.bath.events import Bitten, DryingRate, Event, Removed, WaterAdded
from chemistry.bath.replaying import replay
from chemistry.bath.state import BathState
from chemistry.ranges import check_range

LONGEST_DAYS, MOST_BITES = 730.0, 500
POINTS = 24  # enough for a line that bends as it dries


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """
    So many days under a lid or without, so many bites spread evenly over them, and water at the end.

    g_per_day: water that an average room would dry off. charge_ah, drip_l: of each bite. [A·h, L]
    """

    days: float
    g_per_day: float
    bites: int = 0
    charge_ah: float = 0.0
    drip_l: float = 0.0
    drip_sd_l: float = 0.0
    water_l: float = 0.0

    def __post_init__(self) -> None:
        check_range("days", self.days, 0.0, LONGEST_DAYS)
        check_range("bites", self.bites, 0, MOST_BITES)


def look_ahead(state: BathState, plan: WhatIf) -> list[BathState]:
    """
    Return the bath from now to the end of a plan, day by day or so, and last of all after the water.

    Source: as in `replay`.

    >>> from chemistry.bath import Mixed
    >>> mixed = replay([Mixed(day=0, water_l=11, salt_g=3000)])[-1]
    >>> now, *_, dried, watered = look_ahead(mixed, WhatIf(days=20, g_per_day=40, bites=10, drip_l=0.006, water_l=0.8))
    >>> for bath in (now, dried, watered):
    ...     print(f"{bath.volume_l:.1f} L, {bath.strength_g_per_l:.0f} g/L")
    12.1 L, 247 g/L
    11.3 L, 265 g/L
    12.1 L, 247 g/L
    """
    ends = state.day + plan.days
    # a rate told again changes nothing: it only marks where the line is drawn
    events: list[Event] = [
        DryingRate(day=state.day + plan.days * step / POINTS, g_per_day=plan.g_per_day) for step in range(POINTS)
    ]
    for number in range(plan.bites):
        day = state.day + plan.days * (number + 0.5) / plan.bites
        events += [
            Bitten(day=day, charge_ah=plan.charge_ah),
            Removed(day=day, litres=plan.drip_l, sd_l=plan.drip_sd_l),
        ]
    # put off until the days are over, so that the line goes up in a step and not in a slope
    last: list[Event] = [DryingRate(day=ends, g_per_day=plan.g_per_day)]
    if plan.water_l:
        last.append(WaterAdded(day=ends, litres=plan.water_l))
    return replay([*sorted(events, key=lambda event: event.day), *last], start=state)
