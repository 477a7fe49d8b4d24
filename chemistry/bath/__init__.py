"""A copper sulfate bath: the log of what happened to it, replayed to what it is, and what to do to it next."""

# ruff: noqa: I001  # or each name would take three lines of its own

from chemistry.bath.comparing import Comparison as Comparison, compare as compare, said_alone as said_alone
from chemistry.bath.events import (
    AcidAdded as AcidAdded,
    AcidRead as AcidRead,
    AcidTitrated as AcidTitrated,
    Adopted as Adopted,
    Bitten as Bitten,
    CrystalsAdded as CrystalsAdded,
    DensityRead as DensityRead,
    Doubted as Doubted,
    DryingRate as DryingRate,
    Event as Event,
    LevelRead as LevelRead,
    Mixed as Mixed,
    PhRead as PhRead,
    Reading as Reading,
    Removed as Removed,
    RemovedByLevel as RemovedByLevel,
    RemovedByWeight as RemovedByWeight,
    SolutionAdded as SolutionAdded,
    TakenOut as TakenOut,
    Titrated as Titrated,
    WaterAdded as WaterAdded,
)
from chemistry.bath.figures import DENSITY_SOURCE as DENSITY_SOURCE, Settled as Settled, settle as settle
from chemistry.bath.figures import strength as strength, volume as volume
from chemistry.bath.forgetting import Forgotten as Forgotten, forgotten as forgotten
from chemistry.bath.replaying import (
    FACTOR_SD as FACTOR_SD,
    FAR_OFF_SD as FAR_OFF_SD,
    MODEL_VERSION as MODEL_VERSION,
    OFFSET_SD as OFFSET_SD,
    Expected as Expected,
    days_until as days_until,
    expected as expected,
    forecast as forecast,
    is_far_off as is_far_off,
    replay as replay,
    trust as trust,
    water_per_litre as water_per_litre,
)
from chemistry.bath.looking_ahead import WhatIf as WhatIf, look_ahead as look_ahead
from chemistry.bath.state import BathState as BathState
from chemistry.bath.topping_up import Advice as Advice, acid_to_reach as acid_to_reach, top_up as top_up
