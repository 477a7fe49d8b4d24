"""The time zones a studio may choose from, and the one this machine keeps."""

import zoneinfo
from functools import cache
from itertools import chain, groupby
from pathlib import Path

from studio.workshop.regions import ZONES

AREAS = ("Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific")
LOCAL_TIME = Path("/etc/localtime")


@cache
def choices(region: str = "") -> list:
    """As a select wants them: UTC, the likely ones with those of this region first, then all by part of the world."""
    likely = sorted(ZONES.items(), key=lambda zones: zones[0] != region)
    groups = chain(
        ((each.label, sorted(names, key=place_in)) for each, names in likely), groupby(known_zones(), key=area_of)
    )
    return [("UTC", "UTC"), *((group, [(name, place_in(name)) for name in names]) for group, names in groups)]


def of_this_machine() -> str:
    """The zone that the system's own clock is set to, where it names a place; else UTC."""
    _, _, name = LOCAL_TIME.resolve().as_posix().rpartition("zoneinfo/")
    return name if name in known_zones() else "UTC"


@cache
def known_zones() -> list[str]:
    return sorted(name for name in zoneinfo.available_timezones() if area_of(name) in AREAS)


def area_of(name: str) -> str:
    return name.partition("/")[0]


def place_in(name: str) -> str:
    _, _, place = name.partition("/")
    return place.replace("_", " ").replace("/", ", ")
