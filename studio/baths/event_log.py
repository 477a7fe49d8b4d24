"""
The events of `chemistry.bath` as rows hold them: written down and read back here and nowhere else.

A row holds the kind of its event, its figures without the day, which its entry tells, and the version of this form, so
that a later version still reads what an older one wrote. What is kept of a replay needs no version: a newer model
replays the log.
"""

from collections.abc import Callable
from dataclasses import asdict, fields
from typing import Any

from chemistry.bath import (
    AcidAdded,
    AcidTitrated,
    Adopted,
    BathState,
    Bitten,
    CrystalsAdded,
    DensityRead,
    DryingRate,
    Event,
    LevelRead,
    Mixed,
    PhRead,
    Removed,
    RemovedByLevel,
    RemovedByWeight,
    SolutionAdded,
    Titrated,
    WaterAdded,
)
from chemistry.solution import sulfate

Figures = dict[str, Any]  # numbers, or None for the measure a workshop usually has

SCHEMA = 3  # raise it, with a step in UPGRADES, whenever figures are written otherwise than before
UNDATED = 0.0  # the day of an event that is not in a log yet

EVENTS: dict[str, type[Event]] = {
    event.__name__: event
    for event in (
        *(Mixed, Adopted, WaterAdded, CrystalsAdded, SolutionAdded, Removed, RemovedByWeight, RemovedByLevel),
        *(AcidAdded, LevelRead, DensityRead, Titrated, AcidTitrated, PhRead, Bitten, DryingRate),
    )
}


BLUE, NO_ACID = {"waters": sulfate.BLUE_WATERS}, {"acid_sd_g_per_l": 0.0}
# version 1 counted every salt in blue crystals before it wrote it down, and asked nobody for acid
UNSAID_IN_1: dict[str, Figures] = {
    "Mixed": BLUE | {"acid_g": 0.0, "acid_percent": 100.0},
    "CrystalsAdded": BLUE,
    "Adopted": NO_ACID | {"acid_g_per_l": None},
    "SolutionAdded": NO_ACID | {"acid_g_per_l": 0.0},
}


def with_waters_and_acid(kind: str, figures: Figures) -> Figures:
    return figures | UNSAID_IN_1.get(kind, {})


def without_acid_in_the_mix(kind: str, figures: Figures) -> Figures:
    # acid is an event of its own; no page ever wrote it here, and a row that held some would stay unreadable
    unused = {"acid_g", "acid_percent"} if kind == "Mixed" and not figures["acid_g"] else set()
    return {name: value for name, value in figures.items() if name not in unused}


# from each version to the next
UPGRADES: dict[int, Callable[[str, Figures], Figures]] = {1: with_waters_and_acid, 2: without_acid_in_the_mix}


class Unreadable(Exception):
    """A row of the log that no version of this form wrote."""


def figures_of(event: Event) -> Figures:
    return {name: value for name, value in asdict(event).items() if name != "day"}


def event_of(kind: str, figures: Figures, *, schema: int, day: float = UNDATED) -> Event:
    # step by step, so that each version needs to know only the one before it
    for older in range(schema, SCHEMA):
        figures = UPGRADES[older](kind, figures)
    event = EVENTS.get(kind)
    # a figure too few would silently take its usual value, and the replay give another bath
    if event is None or {"day", *figures} != {field.name for field in fields(event)}:
        raise Unreadable(f"{kind} with {', '.join(figures)} is no event of version {schema}")
    return event(**{"day": day} | figures)


def state_to_json(state: BathState) -> dict[str, Any]:
    return asdict(state)


def state_from_json(kept: dict[str, Any]) -> BathState:
    variances: Any = tuple(kept["variances"])
    return BathState(
        day=kept["day"],
        water_g=kept["water_g"],
        salt_g=kept["salt_g"],
        drying_factor=kept["drying_factor"],
        hydrometer_offset=kept["hydrometer_offset"],
        prior_g_per_day=kept["prior_g_per_day"],
        variances=variances,
        acid_g=kept["acid_g"],
        acid_is_known=kept["acid_is_known"],
    )
